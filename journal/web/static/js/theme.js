/* Light, dark, or as the device wishes. Runs in the head, before the first paint, so that nothing flashes.

   <div data-theme-choice hidden>
     <button type="button" data-theme-set="light" aria-pressed="false">…</button>   light | dark | device
   </div>
*/
(() => {
  "use strict";
  const KEY = "journal-theme";
  const root = document.documentElement;

  const kept = () => {
    try {
      return localStorage.getItem(KEY);
    } catch {
      return null; // storage may be forbidden; the device's wish then holds
    }
  };

  const keep = (theme) => {
    try {
      if (theme === "device") localStorage.removeItem(KEY);
      else localStorage.setItem(KEY, theme);
    } catch (error) {
      console.info("The choice holds for this page only:", error.message);
    }
  };

  const show = (theme) => {
    if (theme === "light" || theme === "dark") root.dataset.theme = theme;
    else delete root.dataset.theme;
    for (const button of document.querySelectorAll("[data-theme-set]")) {
      button.setAttribute("aria-pressed", String(button.dataset.themeSet === (root.dataset.theme ?? "device")));
    }
  };

  show(kept());
  document.addEventListener("DOMContentLoaded", () => {
    for (const choice of document.querySelectorAll("[data-theme-choice]")) choice.hidden = false;
    show(kept());
  });
  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-theme-set]");
    if (!button) return;
    keep(button.dataset.themeSet);
    show(button.dataset.themeSet);
  });
})();
