// Work that may wait until what a tap shows is drawn. Whoever goes away before has it done at once:
// a tap is kept, and sent, also by a tab that is closed in the very moment.

const waiting = new Set();

// Each for itself: what fails in one keeps no other back.
function flush() {
  for (const work of waiting) queueMicrotask(work);
  waiting.clear();
}

// Does `work`, a function asked for again and again only once, when the frame under way is drawn.
export function afterPaint(work) {
  if (!waiting.size) {
    if (document.hidden) setTimeout(flush); // nothing is drawn there
    else requestAnimationFrame(() => setTimeout(flush));
  }
  waiting.add(work);
}

addEventListener("pagehide", flush);
document.addEventListener("visibilitychange", flush);
