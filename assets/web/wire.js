// The socket to the room: it comes back by itself, says what it has seen already, and keeps every
// line until the room says that it is answered. A line sent twice has the same id, and the room
// answers it once.

import { sendPhoto } from "./photos.js";

const FIRST_WAIT = 500;
const LONGEST_WAIT = 15000;

export class Wire {
  // `hear` gets every frame, `tell` the state: "connecting", "lost", "here". Without a `room`, who
  // comes is known to the other end already.
  constructor({ path = "/socket", room = "", name = "", hear, tell, waiting }) {
    Object.assign(this, { path, room, name, hear, tell, showWaiting: waiting });
    this.keep = `ninebark-waiting:${room}:${name}`;
    this.pending = new Map(JSON.parse(sessionStorage.getItem(this.keep) || "[]"));
    this.epoch = "";
    this.last = 0;
    this.wait = FIRST_WAIT;
    this.isClosed = false;
    this.isReady = false;
    this.again = () => this.connectNow();
    addEventListener("online", this.again);
    this.connect();
  }

  close() {
    this.isClosed = true;
    clearTimeout(this.timer);
    removeEventListener("online", this.again);
    this.socket?.close();
  }

  // Sends a line now, or as soon as the room is reached; returns its id.
  act({ text, fields = {}, open = false, photo = null, under = 0 }) {
    const id = crypto.randomUUID();
    const line = { text, fields, open, photo, under };
    this.pending.set(id, line);
    this.save();
    if (this.isReady) this.sendLine(id, line);
    return id;
  }

  sendLine(id, { text, fields, open, photo, under = 0 }) {
    this.sendAfter(photo, { type: "act", id, text, fields, open, under });
  }

  // Sends what its owner keeps; false while the room is out of reach.
  touch(frame, photo = null) {
    if (this.isReady) this.sendAfter(photo, frame);
    return this.isReady;
  }

  // Sends a frame once its photo is there. Where the room is lost meanwhile, both are sent again.
  async sendAfter(photo, frame) {
    if (!photo) return this.send(frame);
    const { socket } = this;
    await sendPhoto(this.path.replace(/socket$/, `photos/${this.photos}/${frame.id}`), photo);
    if (this.isReady && socket === this.socket) this.send({ ...frame, photo: photo.size });
    return undefined;
  }

  settle(id) {
    const line = this.pending.get(id);
    this.pending.delete(id);
    this.save();
    return line;
  }

  save() {
    // A photo lives as long as the tab, and so does its line.
    const kept = [...this.pending].filter(([, line]) => !line.photo);
    sessionStorage.setItem(this.keep, JSON.stringify(kept));
    this.showWaiting(this.isReady ? [] : [...this.pending.values()]);
  }

  send(frame) {
    this.socket.send(JSON.stringify(frame));
  }

  connectNow() {
    if (this.isClosed || this.isReady) return;
    clearTimeout(this.timer);
    this.connect();
  }

  connect() {
    const before = this.socket;
    const scheme = location.protocol === "https:" ? "wss" : "ws";
    const socket = new WebSocket(`${scheme}://${location.host}${this.path}`);
    this.socket = socket;
    before?.close();
    socket.onopen = () => {
      const { room, name, epoch, last } = this;
      if (room) this.send({ type: "enter", room, name, epoch, last });
    };
    socket.onmessage = (event) => {
      if (socket === this.socket && !this.isClosed) this.take(JSON.parse(event.data));
    };
    socket.onclose = () => socket === this.socket && this.lose();
  }

  take(frame) {
    if (frame.type === "entered") {
      this.epoch = frame.epoch;
      this.photos = frame.photos;
      if (frame.is_fresh) this.last = frame.no;
    }
    if (frame.no > this.last) this.last = frame.no;
    if (frame.type === "ready") this.resume();
    this.hear(frame);
  }

  resume() {
    this.isReady = true;
    this.wait = FIRST_WAIT;
    this.tell("here");
    this.save();
    for (const [id, line] of this.pending) this.sendLine(id, line);
  }

  lose() {
    this.isReady = false;
    if (this.isClosed) return;
    this.tell("lost");
    this.save();
    this.timer = setTimeout(() => this.connect(), this.wait * (0.75 + Math.random() / 2));
    this.wait = Math.min(this.wait * 2, LONGEST_WAIT);
  }
}
