/* Counts the minutes of running clocks, and keeps the screen on while one shows (browsers allow that over HTTPS and on
   this computer only).

   <time data-since="2026-03-02T09:00:00+00:00">1 h 5 min</time>
*/
const counts = [...document.querySelectorAll("[data-since]")];

const said = (minutes) => {
  const hours = Math.floor(minutes / 60);
  const rest = minutes % 60;
  return [hours ? `${hours} h` : "", rest || !hours ? `${rest} min` : ""].filter(Boolean).join(" ");
};

const count = () => {
  for (const place of counts) {
    place.textContent = said(Math.max(0, Math.floor((Date.now() - Date.parse(place.dataset.since)) / 60_000)));
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

if (counts.length) {
  setInterval(count, 10_000);
  if (navigator.wakeLock) {
    stayOn();
    document.addEventListener("visibilitychange", stayOn);
  }
}
