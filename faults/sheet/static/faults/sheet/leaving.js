// Signing out clears this phone: before that, say when something recorded here is not sent yet.
(() => {
  "use strict";

  const waitsIn = (name) => new Promise((resolve) => {
    const asked = indexedDB.open(name);
    asked.onerror = () => resolve(false);
    asked.onsuccess = () => {
      const base = asked.result;
      if (!base.objectStoreNames.contains("queue")) { base.close(); resolve(false); return; }
      const all = base.transaction("queue").objectStore("queue").getAll();
      all.onsuccess = () => { base.close(); resolve(all.result.some((thing) => ["waiting", "unsure"].includes(thing.state))); };
      all.onerror = () => { base.close(); resolve(false); };
    };
  });

  async function somethingWaits() {
    if (!window.indexedDB || !indexedDB.databases) return false;
    const names = (await indexedDB.databases()).map(({ name }) => name).filter((name) => name.startsWith("sheet-"));
    return (await Promise.all(names.map(waitsIn))).includes(true);
  }

  document.addEventListener("submit", async (event) => {
    const form = event.target;
    if (!form.dataset.leaving || form.dataset.isSure) return;
    event.preventDefault();
    if ((await somethingWaits().catch(() => false)) && !window.confirm(form.dataset.leaving)) return;
    form.dataset.isSure = "yes";
    form.submit();
  });
})();
