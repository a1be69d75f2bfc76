/* Counts a glue-up down to its limits, second by second, and keeps the screen on while it runs.

   <div data-glue-clock data-now="…"> <div data-glue-left> <time data-until="…">14:20</time> <span data-glue-over hidden>

   The server's clock is the one that counts: this device's may be wrong, so only what passed since the page came is added.
*/
const clock = document.querySelector("[data-glue-clock]");

const said = (seconds) => {
  const whole = Math.abs(Math.trunc(seconds));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
};

const start = () => {
  const opened = Date.now();
  const began = Date.parse(clock.dataset.now);

  const count = () => {
    const now = began + Date.now() - opened;
    for (const place of clock.querySelectorAll("[data-until]")) {
      const left = (Date.parse(place.dataset.until) - now) / 1000;
      const box = place.closest("[data-glue-left]");
      place.textContent = said(left);
      box.classList.toggle("glue-left--over", left < 0);
      box.querySelector("[data-glue-over]").hidden = left >= 0;
    }
  };

  const stayOn = async () => {
    if (document.visibilityState !== "visible") return;
    try {
      await navigator.wakeLock.request("screen");
    } catch (error) {
      console.info("The screen may go dark:", error.message);
    }
  };

  count();
  setInterval(count, 500);
  // A page taken from the back-forward store shows an old state of the clock.
  window.addEventListener("pageshow", (event) => event.persisted && location.reload());
  if (navigator.wakeLock) {
    stayOn();
    document.addEventListener("visibilitychange", stayOn);
  }
};

if (clock) start();
