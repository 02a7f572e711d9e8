// Taps on the way to the club. Each has an id made here and is kept in this browser until the club
// has answered it, a closed tab and a reload included; sent twice, it is carried out once. They go
// one after another, so that they are carried out in the order in which they were made. A tap is
// kept and sent as soon as what it shows is drawn.

import { afterPaint } from "./later.js";

const RETRY = 1200; // milliseconds
const MOST_FAILURES = 3;

let count = 0;

export class Taps {
  // `send` returns false while the room is out of reach; `drop` is told a tap that was given up.
  constructor({ keep, send, drop }) {
    Object.assign(this, { prefix: `ninebark-tap:${keep}:`, send, drop });
    this.pending = this.load();
    this.flying = null;
    this.fresh = []; // made, and not kept yet
    this.keepAndSend = () => this.keep();
  }

  load() {
    const keys = Object.keys(localStorage).filter((key) => key.startsWith(this.prefix)).sort();
    return keys.map((key) => {
      const tap = JSON.parse(localStorage.getItem(key));
      return { ...tap, key, isUnsure: true, failures: 0 };
    });
  }

  // `change` is what the tap does to the board, so that it shows at once; null: the club knows. A
  // tap with a photo lives as long as the tab, as the photo does.
  add({ text, fields = {}, day = "", change = null, photo = null }) {
    const id = crypto.randomUUID();
    const order = `${String(Date.now()).padStart(15, "0")}-${String((count += 1)).padStart(6, "0")}`;
    const tap = { id, text, fields, day, change };
    const key = `${this.prefix}${order}`;
    if (!photo) this.fresh.push([key, tap]);
    this.pending.push({ ...tap, key, photo, isUnsure: false, failures: 0 });
    afterPaint(this.keepAndSend);
    return id;
  }

  keep() {
    for (const [key, tap] of this.fresh.splice(0)) {
      try {
        localStorage.setItem(key, JSON.stringify(tap));
      } catch {
        // Full or forbidden: the tap is sent all the same, and lives as long as the tab.
      }
    }
    this.next();
  }

  next() {
    const [tap] = this.pending;
    if (!tap || this.flying || this.fresh.some(([key]) => key === tap.key)) return;
    const { id, text, fields, photo } = tap;
    if (this.send({ type: "touch", id, text, fields }, photo)) this.flying = id;
  }

  // The room is out of reach: whether the tap under way got through is not known.
  lose() {
    for (const tap of this.pending) if (tap.id === this.flying) tap.isUnsure = true;
    this.flying = null;
  }

  settle(id) {
    const tap = this.pending.find((each) => each.id === id);
    if (tap) localStorage.removeItem(tap.key);
    this.pending = this.pending.filter((each) => each.id !== id);
    if (this.flying === id) this.flying = null;
    this.next();
    return tap;
  }

  // Returns whether the id is one of ours.
  refuse({ id, problem }) {
    const tap = this.pending.find((each) => each.id === id);
    if (!tap) return false;
    this.flying = null;
    const mayPass = problem === "too-fast" || problem === "failed";
    if (problem === "failed") tap.failures += 1;
    if (mayPass && tap.failures < MOST_FAILURES) setTimeout(() => this.next(), RETRY);
    else this.drop(this.settle(id), problem);
    return true;
  }
}
