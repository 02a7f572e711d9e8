// A question's picture to touch: cells are chosen on it, and digits beside it; what is said of them
// is written into the form's own line, where it can be typed and mended as well.

import * as words from "./words.js";

const NINE = Array.from({ length: 9 }, (_, index) => index + 1);

function buildTool(text, work) {
  const tool = document.createElement("button");
  tool.type = "button";
  tool.textContent = text;
  tool.addEventListener("click", () => work(tool));
  return tool;
}

function buildChoice(text, label) {
  const choice = buildTool(text, () =>
    choice.setAttribute("aria-pressed", choice.getAttribute("aria-pressed") !== "true"));
  choice.setAttribute("aria-pressed", "false");
  choice.setAttribute("aria-label", label);
  return choice;
}

const chosen = (choices) => choices.filter((each) => each.getAttribute("aria-pressed") === "true");

// `parts` are those of one message; nothing is done where it has no picture or asks for no find.
export function letTouch(parts) {
  const find = (selector) => parts.map((part) => part.querySelector?.(selector)).find(Boolean);
  const [picture, field] = [find("picture"), find("input[name=find]")];
  if (!picture || !field) return;
  const cells = NINE.flatMap((row) => NINE.map((column) => {
    const cell = buildChoice("", `r${row}c${column}`);
    cell.tabIndex = -1; // by keyboard the line is quicker, and says as much
    return cell;
  }));
  const digits = NINE.map((digit) => buildChoice(digit, digit));
  const say = (write) => () => {
    const names = chosen(cells).map((cell) => cell.getAttribute("aria-label"));
    const told = chosen(digits).map((digit) => digit.textContent).join("");
    if (!names.length || !told) return;
    field.value = [field.value.trim(), write(names, told)].filter(Boolean).join("; ");
    field.dispatchEvent(new Event("input"));
    for (const each of [...cells, ...digits]) each.setAttribute("aria-pressed", "false");
  };
  const over = document.createElement("div");
  over.className = "cells";
  over.append(...cells);
  picture.append(over);
  const tools = document.createElement("div");
  tools.className = "touch";
  tools.setAttribute("role", "group");
  tools.setAttribute("aria-label", words.touch);
  tools.append(...digits,
    buildTool(words.goes, say((names, told) => names.map((name) => `${name}-${told}`).join(" "))),
    buildTool(words.isThere, say((names, told) => names.map((name) => `${name}=${told[0]}`).join(" "))),
    buildTool(words.sees, say((names, told) => `${told} in ${names.join(" ")}`)));
  field.closest("form").querySelector("h3").after(tools);
}
