// What is half written in a form outlives a reload of the tab; in a grid, typing over replaces.

const PREFIX = "ninebark-draft:";

// Returns what was half written in a field like this one, else `value`, and keeps what comes.
export function draftOf(field, command, value) {
  const key = `${PREFIX}${command}:${field.name}`;
  field.addEventListener("input", () => sessionStorage.setItem(key, field.value));
  field.addEventListener("sent", () => sessionStorage.removeItem(key));
  return sessionStorage.getItem(key) ?? value;
}

// A mark typed over a cell takes its place, so that a line keeps its nine.
export function overtype(field) {
  field.addEventListener("beforeinput", (event) => {
    const { selectionStart: start, selectionEnd: end, value } = field;
    const isMark = event.inputType === "insertText" && /^[0-9.]$/.test(event.data || "");
    if (!isMark || start !== end || !/[0-9.]/.test(value[start] || "")) return;
    event.preventDefault();
    field.setRangeText(event.data, start, start + 1, "end");
    if (field.value[field.selectionEnd] === "\n") field.selectionStart = field.selectionEnd + 1;
    field.dispatchEvent(new Event("input", { bubbles: true }));
  });
}
