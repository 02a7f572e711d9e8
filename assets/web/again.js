// Loads a page again whose script has not come, since too many asked at once: the page that says so
// has none. The room always has this one file to give. Behind a link's # its secret stays.

const KEPT = "ninebark-again"; // how often it was tried
const FIRST_WAIT = 4000;
const LONGEST_WAIT = 60000;

addEventListener("load", () => {
  if (document.documentElement.dataset.begun) {
    sessionStorage.removeItem(KEPT);
    return;
  }
  const tries = Number(sessionStorage.getItem(KEPT));
  sessionStorage.setItem(KEPT, tries + 1);
  const wait = Math.min(FIRST_WAIT * 1.5 ** tries, LONGEST_WAIT);
  setTimeout(() => location.reload(), wait * (1 + Math.random() / 2));
});
