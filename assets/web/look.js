// Light or dark: as the device says, unless this browser was told otherwise. Pictures exist in
// both; a <source> for the dark one is switched by its media attribute.

const KEPT = "ninebark-look";
const DEVICE = "(prefers-color-scheme: dark)";

let look = "device";

const mediaOf = () => ({ device: DEVICE, light: "not all", dark: "all" })[look];

export function darkSource(address) {
  const source = document.createElement("source");
  source.className = "dark-source";
  source.media = mediaOf();
  source.srcset = address;
  return source;
}

function wear(wanted) {
  look = wanted;
  if (look === "device") delete document.documentElement.dataset.look;
  else document.documentElement.dataset.look = look;
  for (const source of document.querySelectorAll(".dark-source")) source.media = mediaOf();
}

// The first thing that each page does.
export function startLook(select) {
  document.documentElement.dataset.begun = "yes";
  const kept = localStorage.getItem(KEPT);
  wear(["light", "dark"].includes(kept) ? kept : "device");
  select.value = look;
  select.addEventListener("change", () => {
    localStorage.setItem(KEPT, select.value);
    wear(select.value);
  });
}
