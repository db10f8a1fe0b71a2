// Whether a list shows all its columns is kept for that list on this device.
(() => {
  const tick = document.querySelector(".more-columns input");
  const key = `all columns ${location.pathname}`;
  tick.checked = localStorage.getItem(key) === "yes";
  tick.addEventListener("change", () => {
    if (tick.checked) localStorage.setItem(key, "yes");
    else localStorage.removeItem(key);
  });
})();
