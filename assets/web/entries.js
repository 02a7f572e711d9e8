// Builds the room's entries. Everything that came from people or from the club is set as text,
// never as markup.

import { draftOf, overtype } from "./drafts.js";
import { darkSource } from "./look.js";
import { choosePhoto, photoInput } from "./photos.js";
import { letTouch } from "./touching.js";
import * as words from "./words.js";

let fieldCount = 0;

export function build(tag, { className = "", text = null } = {}, ...children) {
  const element = document.createElement(tag);
  if (className) element.className = className;
  if (text !== null) element.textContent = text;
  element.append(...children.filter(Boolean));
  return element;
}

// What stands already is not set again, or the page would be styled anew for nothing.
export function setAttribute(element, name, value) {
  if (element.getAttribute(name) !== String(value)) element.setAttribute(name, value);
}

const pictureAddress = (token) => `/pictures/${encodeURIComponent(token)}.png`;

export function buildPicture(picture) {
  const image = build("img");
  image.alt = picture.alt;
  // The place is kept free before the picture is there, so that nothing jumps.
  if (picture.width) [image.width, image.height] = [picture.width, picture.height];
  image.loading = "lazy";
  image.src = pictureAddress(picture.light);
  // A small screen shows small digits; the picture alone can be enlarged at will.
  image.addEventListener("click", () => open(image.currentSrc, "_blank", "noopener"));
  const inWords = build("details", {},
    build("summary", { text: words.inWords }),
    build("p", { className: "alt", text: picture.alt }));
  return build("figure", { className: "picture" },
    build("picture", {}, darkSource(pictureAddress(picture.dark)), image), inWords);
}

export function buildButton({ label, command, is_main: isMain, takes_photo: takesPhoto }, act) {
  const button = build("button", { className: isMain ? "main" : "", text: label });
  button.type = "button";
  button.dataset.command = command;
  button.addEventListener("click", (event) => {
    if (event.detail > 1) return; // a double click is one press
    if (takesPhoto) choosePhoto((photo) => act({ text: command, photo }, button));
    else act({ text: command }, button);
  });
  return button;
}

// Choosing alone sends nothing: with the arrow keys one passes by what one does not want.
function buildMenu({ label, command, choices }, act) {
  const select = build("select", {}, ...choices.map((choice) =>
    new Option(choice.label, choice.value, choice.is_chosen, choice.is_chosen)));
  select.id = `field-${(fieldCount += 1)}`;
  const caption = build("label", { text: label });
  caption.htmlFor = select.id;
  const take = build("button", { text: words.take });
  take.type = "button";
  take.setAttribute("aria-label", `${words.take}: ${label}`);
  take.addEventListener("click", (event) => {
    if (event.detail < 2) act({ text: command + select.value }, take);
  });
  return build("div", { className: "menu" }, caption, select, take);
}

function buildPhotoField({ name, label }) {
  const field = photoInput();
  field.className = "field";
  field.id = `field-${(fieldCount += 1)}`;
  field.name = name;
  const caption = build("label", { text: label });
  caption.htmlFor = field.id;
  return [caption, field];
}

function buildField({ name, label, value, rows, placeholder, takes_photo: takesPhoto }, command) {
  if (takesPhoto) return buildPhotoField({ name, label });
  const field = build(rows > 1 ? "textarea" : "input", { className: "field" });
  field.id = `field-${(fieldCount += 1)}`;
  field.name = name;
  field.value = draftOf(field, command, value);
  // Digits and the dot of an open cell are all that a grid or an answer needs.
  if (name === "grid" || name === "answer") field.inputMode = "decimal";
  if (name === "grid") overtype(field);
  field.placeholder = placeholder;
  field.spellcheck = false;
  field.autocapitalize = "off";
  field.autocomplete = "off";
  if (rows > 1) field.rows = rows;
  const caption = build("label", { text: label });
  caption.htmlFor = field.id;
  return [caption, field];
}

export function buildForm(form, act) {
  const fields = form.fields.map((field) => buildField(field, form.command));
  const sent = build("span", { className: "sent" });
  sent.setAttribute("role", "status");
  const send = build("button", { className: "main", text: form.send_label });
  send.type = "submit";
  const element = build("form", { className: "form" },
    build("h3", { text: form.title }), ...fields.flat(), send, sent);
  element.setAttribute("aria-label", form.title);
  element.dataset.command = form.command;
  element.addEventListener("submit", (event) => {
    event.preventDefault();
    const texts = fields.filter(([, field]) => field.type !== "file");
    const values = Object.fromEntries(texts.map(([, field]) => [field.name, field.value]));
    const photo = fields.map(([, field]) => field.files?.[0]).find(Boolean) || null;
    if (!act({ text: form.command, fields: values, photo }, send)) return;
    sent.textContent = words.sent;
    for (const [, field] of texts) field.dispatchEvent(new Event("sent"));
  });
  return element;
}

// Beside a picture the same as text is folded away; alone it is open.
function buildCode({ code, picture }) {
  const block = build("pre", { className: "code", text: code });
  return picture
    ? build("details", {}, build("summary", { text: words.asText }), block)
    : block;
}

// The bytes came with the message, so saving asks nobody.
function buildFile({ name, kind, content }) {
  const bytes = Uint8Array.from(atob(content), (letter) => letter.charCodeAt(0));
  const link = build("a", { className: "file", text: words.save(name) });
  link.href = URL.createObjectURL(new Blob([bytes], { type: kind }));
  link.download = name;
  return link;
}

// A code to scan, drawn from its rows of 0 and 1; the border around it is four squares wide.
function buildCodeToScan(squares) {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  const size = squares.length + 8;
  svg.setAttribute("viewBox", `-4 -4 ${size} ${size}`);
  svg.setAttribute("class", "scan");
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", words.toScan);
  const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
  path.setAttribute("d", squares.flatMap((row, y) =>
    [...row].map((cell, x) => (cell === "1" ? `M${x} ${y}h1v1h-1z` : ""))).join(""));
  svg.append(path);
  return svg;
}

// A link is shown this once, and is in no entry that is kept.
export function buildLink({ label, address, squares, sheet }) {
  const open = build("a", { text: address });
  open.href = address;
  open.rel = "noopener noreferrer";
  open.target = "_blank";
  return build("div", { className: "link" },
    build("p", { text: `${label}: ` }, open),
    squares.length ? buildCodeToScan(squares) : null,
    sheet ? buildFile(sheet) : null);
}

function buildMessage(message, act) {
  const parts = [];
  if (message.text) {
    const text = build("p", { className: "text", text: message.text });
    text.dir = "auto";
    parts.push(text);
  }
  if (message.picture) parts.push(buildPicture(message.picture));
  if (message.code) parts.push(buildCode(message));
  if (message.file) parts.push(buildFile(message.file));
  if (message.buttons?.length) {
    parts.push(build("div", { className: "buttons" },
      ...message.buttons.map((button) => buildButton(button, act))));
  }
  parts.push(...(message.menus || []).map((menu) => buildMenu(menu, act)));
  if (message.form) parts.push(buildForm(message.form, act));
  letTouch(parts);
  return parts;
}

function buildTime(at) {
  const moment = new Date(at);
  const isToday = moment.toDateString() === new Date().toDateString();
  const clock = { hour: "2-digit", minute: "2-digit", hourCycle: "h23" };
  const day = isToday ? {} : { weekday: "short", day: "numeric", month: "short" };
  const time = build("time", { text: moment.toLocaleString([], { ...day, ...clock }) });
  time.dateTime = at;
  return time;
}

const CLASSES = {
  post: "post", said: "said", asked: "asked", answer: "slip", told: "slip", thread: "alone",
};

export function buildThread(entry, act) {
  const parts = entry.body.messages.map((message) =>
    build("div", { className: "part" }, ...buildMessage(message, act)));
  const { title, is_open: isOpen } = entry.body;
  const element = build("details", { className: "thread" },
    build("summary", { text: isOpen ? title : words.thread(title, parts.length) }), ...parts);
  element.open = Boolean(isOpen);
  element.id = `entry-${entry.id}`;
  return element;
}

export function buildEntry(entry, send) {
  const { body, kind } = entry;
  // What is pressed in an answer changes that answer.
  const act = kind === "answer"
    ? (line, button) => send({ ...line, under: entry.id }, button) : send;
  const speaker = build("h2", { text: kind === "asked" ? words.youAsked : body.by || words.club });
  speaker.dir = "auto";
  const mark = entry.private && kind !== "asked"
    ? build("span", { className: "private-mark", text: words.onlyYou }) : null;
  const head = build("div", { className: "entry-head" }, speaker, mark, buildTime(body.at));
  const content = kind === "thread"
    ? [buildThread(entry, act)]
    : (body.messages || []).flatMap((message) => buildMessage(message, act));
  const element = build("article", { className: `entry ${CLASSES[kind] || "alone"}` },
    head, ...content);
  element.dataset.kind = kind;
  element.dataset.id = entry.id;
  element.tabIndex = -1;
  speaker.id = `speaker-${entry.id}`;
  if (kind !== "thread") element.id = `entry-${entry.id}`;
  element.setAttribute("aria-labelledby",
    mark ? `${speaker.id} ${(mark.id = `mark-${entry.id}`)}` : speaker.id);
  return element;
}
