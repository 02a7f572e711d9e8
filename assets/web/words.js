// Every sentence that the page itself says. What the club says comes over the socket.

export const club = "Ninebark";
export const onlyYou = "Only you see this";
export const youAsked = "You asked";
export const inWords = "The picture in words";
export const asText = "As text, to copy";
export const take = "Take this";
export const sent = "Sent.";
export const leads = ", a leader";
export const waitingLine = (text) => text.split("\n")[0] || "a form";
export const thread = (title, count) => `${title} (${count === 1 ? "1 part" : `${count} parts`})`;

export const notTaken = (sentence, text) => `${sentence} It was: ${text}`;

export const states = {
  connecting: "Reaching the room…",
  lost: "The room is out of reach. Trying again; what you write is kept and sent then.",
  here: "",
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
  "enter-first": () => "Enter the room first.",
  failed: () => "Something failed here, and there is no answer. Send it again.",
};
