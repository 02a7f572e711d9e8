// Keeps the entries on the page in the order of their ids: puts new ones in, replaces edited ones,
// takes removed ones away, and hangs a thread under its post.

import { buildEntry, buildThread } from "./entries.js";

export class TimelineView {
  constructor(list, act) {
    this.list = list;
    this.act = act;
    this.threads = new Map(); // post id -> its thread entries
    this.shown = new Map(); // entry id -> what it shows, as JSON
    this.stale = new Set();
  }

  clear() {
    this.list.replaceChildren();
    this.threads.clear();
    this.shown.clear();
    this.stale.clear();
  }

  // Everything is sent anew: what comes again unchanged stays as it is, with what was written in
  // its form; the rest goes when all has come.
  beginAnew() {
    this.stale = new Set(this.shown.keys());
  }

  endAnew() {
    for (const id of this.stale) this.remove(id);
    this.stale.clear();
  }

  find(id) {
    return document.getElementById(`entry-${id}`);
  }

  put(entry) {
    const showing = JSON.stringify([entry.kind, entry.private, entry.body]);
    this.stale.delete(entry.id);
    if (this.shown.get(entry.id) === showing && this.find(entry.id)) return;
    this.shown.set(entry.id, showing);
    const post = entry.kind === "thread" ? this.find(entry.body.under) : null;
    if (entry.kind === "thread") this.remember(entry);
    if (post) {
      this.hang(post, entry);
      return;
    }
    const element = buildEntry(entry, this.act);
    const there = this.find(entry.id)?.closest(".entry");
    if (there) this.swap(there, element);
    else this.insert(entry.id, element);
    for (const thread of this.threads.get(entry.id) || []) this.hang(element, thread);
  }

  remove(id) {
    this.shown.delete(id);
    this.find(id)?.remove();
  }

  remember(entry) {
    const known = this.threads.get(entry.body.under) || [];
    this.threads.set(entry.body.under, [...known.filter(({ id }) => id !== entry.id), entry]);
  }

  hang(post, entry) {
    const element = buildThread(entry, this.act);
    const there = this.find(entry.id);
    if (there) {
      element.open = there.open;
      this.swap(there, element);
    } else {
      post.append(element);
    }
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
