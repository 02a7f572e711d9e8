// Every sentence that the page itself says. What the club says comes over the socket.

export const club = "Ninebark";
export const onlyYou = "Only you see this";
export const youAsked = "You asked";
export const inWords = "The picture in words";
export const asText = "As text, to copy";
export const save = (name) => `Save ${name}`;
export const toScan = "The link as a code to scan";
export const signOut = "Sign out on this device? To come in again you need your link.";
export const stillIn = "You are still signed in: the club is out of reach. Try again in a moment.";
export const take = "Take this";
export const sent = "Sent.";
export const leads = ", a leader";
export const waitingLine = (text) => text.split("\n")[0] || "a form";
export const thread = (title, count) => `${title} (${count === 1 ? "1 part" : `${count} parts`})`;

// --- a question ---

export const touch = "Choose cells on the picture, digits here, and then what is so";
export const goes = "These go";
export const isThere = "It is there";
export const sees = "I see these";

export const notTaken = (sentence, text) => `${sentence} It was: ${text}`;

// --- the board ---

export const house = (sort, number) => `${sort} ${number}`;
export const rowsHead = "rows";
export const hint = "Hint";
export const check = "Check";
export const fill = "Fill in small digits";

const parts = (seconds) => {
  const [minutes, left] = [Math.floor(seconds / 60), seconds % 60];
  return [minutes && `${minutes} min`, (left || !minutes) && `${left} s`].filter(Boolean).join(" ");
};

export const withCost = (label, seconds) => (seconds ? `${label} (+${parts(seconds)})` : label);

export const clock = (seconds, added) => {
  const whole = Math.max(0, Math.floor(seconds));
  const two = (number) => String(number).padStart(2, "0");
  const hours = Math.floor(whole / 3600);
  const rest = `${two(Math.floor(whole / 60) % 60)}:${two(whole % 60)}`;
  return `${hours ? `${hours}:` : ""}${rest}${added ? ` + ${parts(added)}` : ""}`;
};

const place = (row, column) => `row ${row} column ${column}`;

export const cell = (row, column, digit, isGiven, small, isMistake) => {
  const told = isMistake ? ", told to be a mistake" : "";
  if (digit) return `${place(row, column)}, ${digit}, ${isGiven ? "given" : "yours"}${told}`;
  const noted = small.length ? `candidates ${small.join(" ")}` : "no candidates noted";
  return `${place(row, column)}, open, ${noted}${told}`;
};

export const wrote = (row, column, digit) =>
  (digit ? `${digit} written in ${place(row, column)}` : `${place(row, column)} rubbed out`);
export const wroteSmall = (row, column, digit, isThere) =>
  `small ${digit} ${isThere ? "noted" : "rubbed out"} in ${place(row, column)}`;
export const ruledOut = (row, column, digit, isOut) =>
  `${digit} ${isOut ? "ruled out" : "allowed again"} in ${place(row, column)}`;
export const barred = (digit) => `A ${digit} stands in its row, column or box already.`;
export const notTwo = (digit) => `${digit} has more or fewer than two places in that box.`;
export const armed = (digit) => `${digit} is in your hand: choose its cells`;
export const disarmed = "No digit in your hand";
export const undone = { undo: "Undone", redo: "Done again" };
export const notCarriedOut = (sentence) => `The last tap was not carried out. ${sentence}`;
export const readingPhoto = "Reading your photo…";
export const keys =
  "Arrow keys move; Home and End go to the ends of a row. A digit is written where you are, Shift " +
  "and a digit notes it small, Backspace rubs out. u undoes, h asks for a hint, ? shows this.";

export const states = {
  connecting: "Reaching the room…",
  lost: "The room is out of reach. Trying again; what you write is kept and sent then.",
  here: "",
  busy: "Many people are coming in at once. This page tries again by itself in a few seconds.",
  unreached: "The club is out of reach. This page tries again by itself in a few seconds.",
  unopened: "That did not work. Load the page again in a moment.",
};

const kilobytes = (limit) => `${Math.round(limit / 1024)} KB`;

export const refusals = {
  "too-long": ({ limit }) =>
    `That is too long for one message (${kilobytes(limit)} at most). Shorten it and send it again.`,
  "too-fast": () =>
    "That was too fast, and was not taken. Wait a few seconds, then send it again.",
  malformed: () => "The room could not read that. Load the page again, then send it once more.",
  name: () => "Choose a name with at least one letter or digit, up to 32 characters.",
  "name-reserved": () =>
    "That name is the club's own, or could be taken for it. Choose one of yours, such as Robin B.",
  "name-leader": () =>
    "That name looks like a leader's. Add something that is yours alone, such as Robin B.",
  "name-taken": () =>
    "Somebody here has a name that looks the same. If it is you, write it just as you did before; " +
    "if not, add something that is yours alone, such as Robin B.",
  "name-mixed": () =>
    "That name mixes letters of two alphabets in one word. Write it in one of them, such as Robin " +
    "or Робин.",
  room: () => "This page has no such room.",
  link: () => "Here everyone comes in by a link of their own. Ask a leader of the club for yours.",
  "enter-first": () => "Enter the room first.",
  elsewhere: () => "That is not for this page, which shows your board alone. Ask in your club’s room.",
  "link-unknown": () =>
    "It may be an older one, taken back by asking for another, or a part of it is missing.",
  "link-used": () => "It was opened before, on another device or in another browser. It opens once.",
  "link-over": () => "Its puzzle closed more than a day ago.",
  failed: () => "Something failed here, and there is no answer. Send it again.",
};
