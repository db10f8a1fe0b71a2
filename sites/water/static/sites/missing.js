// The sheet of missing facts with a keyboard: arrows go from cell to cell, a block from a
// spreadsheet is pasted at once, and each cell is checked when it is left. Without this script it
// is a plain form: nothing here decides what is kept.
"use strict";

(() => {
  const sheet = document.querySelector("table.fact-sheet");
  if (!sheet) return;
  const form = sheet.closest("form");
  const said = form.querySelector(".fact-sum output");
  const rows = [...sheet.tBodies[0].rows];
  const inputAt = (row, column) => rows[row]?.cells[column]?.querySelector("input") || null;
  const whereIs = (input) => [rows.indexOf(input.closest("tr")), input.closest("td").cellIndex];
  let waiting = 0, asked = 0;

  function go(input, down, right) {
    let [row, column] = whereIs(input);
    do { row += down; column += right; } while (rows[row]?.cells[column] && !inputAt(row, column));
    const next = inputAt(row, column);
    next?.focus();
    next?.select();
    return next !== null;
  }

  const STEPS = { ArrowDown: [1, 0], ArrowUp: [-1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1], Enter: [1, 0] };

  sheet.addEventListener("keydown", (event) => {
    const step = STEPS[event.key], input = event.target;
    if (!step || event.altKey || event.ctrlKey || event.metaKey) return;
    const isWhole = input.selectionStart === 0 && input.selectionEnd === input.value.length;
    const isAtEnd = step[1] < 0 ? input.selectionEnd === 0 : input.selectionStart === input.value.length;
    if (step[1] && !isWhole && !isAtEnd) return;
    // Enter in the last row sends the form, as in any form.
    if (go(input, ...step) || event.key !== "Enter") event.preventDefault();
  });

  sheet.addEventListener("paste", (event) => {
    const text = event.clipboardData.getData("text/plain").replace(/\r/g, "").replace(/\n$/, "");
    if (!/[\t\n]/.test(text)) return;
    event.preventDefault();
    const [top, left] = whereIs(event.target);
    text.split("\n").forEach((line, down) => line.split("\t").forEach((words, right) => {
      const input = inputAt(top + down, left + right);
      // What is known already is left as it is: the block keeps its shape.
      if (input && words.trim()) input.value = words.trim();
    }));
    check();
  });

  sheet.addEventListener("change", () => {
    clearTimeout(waiting);
    waiting = setTimeout(check, 150);
  });

  async function check() {
    const turn = ++asked;
    let answer;
    try {
      const sent = await fetch(sheet.dataset.check, { method: "POST", body: new FormData(form) });
      if (!sent.ok) return;
      answer = await sent.json();
    } catch { return; } // Without a line the form is checked when it is sent.
    if (turn === asked) show(answer);
  }

  function show(answer) {
    for (const input of sheet.querySelectorAll("input")) {
      const why = answer.problems[input.name] || "";
      const words = document.getElementById(`${input.name}-why`);
      words.textContent = why;
      if (why) {
        input.setAttribute("aria-invalid", "true");
        input.setAttribute("aria-describedby", words.id);
      } else input.removeAttribute("aria-invalid");
    }
    said.textContent = said.dataset.words.replace("#", answer.known).replace("@", answer.total);
  }
})();
