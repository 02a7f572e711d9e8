// Keeps the entries on the page in the order of their ids: puts new ones in, replaces edited ones,
// takes removed ones away, and hangs a thread under its post.

import { buildEntry, buildThread } from "./entries.js";

export class TimelineView {
  constructor(list, act) {
    this.list = list;
    this.act = act;
    this.threads = new Map(); // post id -> its thread entries
  }

  clear() {
    this.list.replaceChildren();
    this.threads.clear();
  }

  find(id) {
    return document.getElementById(`entry-${id}`);
  }

  put(entry) {
    const post = entry.kind === "thread" ? this.find(entry.body.under) : null;
    if (entry.kind === "thread") this.remember(entry);
    if (post) return this.hang(post, entry);
    const element = buildEntry(entry, this.act);
    const there = this.find(entry.id)?.closest(".entry");
    if (there) this.swap(there, element);
    else this.insert(entry.id, element);
    for (const thread of this.threads.get(entry.id) || []) this.hang(element, thread);
    return element;
  }

  remove(id) {
    this.find(id)?.remove();
  }

  remember(entry) {
    const known = this.threads.get(entry.body.under) || [];
    this.threads.set(entry.body.under, [...known.filter(({ id }) => id !== entry.id), entry]);
  }

  hang(post, entry) {
    this.find(entry.id)?.remove();
    const element = buildThread(entry, this.act);
    post.append(element);
    return element;
  }

  // A press on a button of a post that is edited at that moment must not lose its place.
  swap(old, element) {
    const command = old.contains(document.activeElement)
      ? document.activeElement.dataset.command : null;
    old.replaceWith(element);
    if (command) {
      const same = [...element.querySelectorAll("button")]
        .find((button) => button.dataset.command === command);
      (same || element).focus({ preventScroll: true });
    }
  }

  insert(id, element) {
    let before = this.list.lastElementChild;
    while (before && Number(before.dataset.id) > id) before = before.previousElementSibling;
    if (before) before.after(element);
    else this.list.prepend(element);
  }
}
