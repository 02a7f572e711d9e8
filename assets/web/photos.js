// A photo of the paper: chosen or taken, and sent to the room before the act that it belongs to. It
// is held by this tab alone, and by nobody once it is sent.

import { ask } from "./asking.js";

const MOST_BYTES = 16 * 1024 * 1024; // what is larger is not sent; the room hears how large it is

// `capture` opens a phone's camera at once.
export function photoInput() {
  const input = document.createElement("input");
  input.type = "file";
  input.accept = "image/*";
  input.setAttribute("capture", "environment");
  return input;
}

// Calls `take` with the photo, if one is chosen.
export function choosePhoto(take) {
  const input = photoInput();
  input.hidden = true;
  document.body.append(input);
  input.addEventListener("change", () => {
    input.remove();
    if (input.files[0]) take(input.files[0]);
  });
  input.addEventListener("cancel", () => input.remove());
  input.click();
}

// Sent again while the room has no place for it; what does not arrive is asked for again by the
// room's answer.
export async function sendPhoto(address, photo) {
  if (photo.size > MOST_BYTES) return;
  const body = { method: "POST", body: photo, headers: { "Content-Type": "application/octet-stream" } };
  try {
    await ask(address, body, { tries: 6 });
  } catch {
    // Out of reach: the act is not sent before the room is there again, and the photo with it.
  }
}
