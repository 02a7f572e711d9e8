// Our shapes upon the live grid: the band beside a house, the double outline of a pattern's cell,
// the box of a placement, the lines of a chain. A cell is 100 wide. Colour only supports them.

const CELL = 100;

const xOf = (cell) => (cell % 9) * CELL;
const yOf = (cell) => Math.floor(cell / 9) * CELL;

function shape(name, attributes) {
  const element = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  return element;
}

const rect = (x, y, width, height, kind) => shape("rect", { x, y, width, height, class: kind });
const frame = (cell, inset, kind) =>
  rect(xOf(cell) + inset, yOf(cell) + inset, CELL - 2 * inset, CELL - 2 * inset, kind);

// A line has a band at both its ends, a box one all around.
function bands([sort, number], kind) {
  const at = (number - 1) * CELL;
  if (sort === "row") return [rect(1, at + 8, 13, 84, kind), rect(886, at + 8, 13, 84, kind)];
  if (sort === "column") return [rect(at + 8, 1, 84, 13, kind), rect(at + 8, 886, 84, 13, kind)];
  const [x, y] = [((number - 1) % 3) * 300, Math.floor((number - 1) / 3) * 300];
  return [rect(x + 6, y + 6, 288, 288, `${kind} around`)];
}

const spot = (cell, digit) => [
  xOf(cell) + 24 + ((digit - 1) % 3) * 26,
  yOf(cell) + 24 + Math.floor((digit - 1) / 3) * 26,
];

function nearest(cells, digit, [x, y]) {
  const far = (cell) => Math.hypot(spot(cell, digit)[0] - x, spot(cell, digit)[1] - y);
  return [...cells].sort((one, other) => far(one) - far(other))[0];
}

// A link is bent a little, so that it passes beside what is written between its ends.
function link(each, isDirected) {
  const first = nearest(each.cells, each.digit, spot(each.other_cells[0], each.other_digit));
  const [x1, y1] = spot(first, each.digit);
  const [x2, y2] = spot(nearest(each.other_cells, each.other_digit, [x1, y1]), each.other_digit);
  const span = Math.hypot(x2 - x1, y2 - y1) || 1;
  const [ux, uy] = [(x2 - x1) / span, (y2 - y1) / span];
  const gap = Math.min(17, span / 3);
  const [sx, sy, ex, ey] = [x1 + ux * gap, y1 + uy * gap, x2 - ux * gap, y2 - uy * gap];
  const bend = Math.min(40, span / 6);
  const [mx, my] = [(sx + ex) / 2 - uy * bend, (sy + ey) / 2 + ux * bend];
  const line = shape("path", {
    d: `M${sx} ${sy}Q${mx} ${my} ${ex} ${ey}`, class: each.is_strong ? "link" : "link weak",
  });
  if (isDirected) line.setAttribute("marker-end", "url(#arrow)");
  if (!each.number) return [line];
  const [cx, cy] = [(sx + 2 * mx + ex) / 4, (sy + 2 * my + ey) / 4];
  const number = shape("text", { x: cx, y: cy + 6, class: "link-number" });
  number.textContent = each.number;
  return [line, shape("circle", { cx, cy, r: 12, class: "link-disc" }), number];
}

function arrow() {
  const marker = shape("marker", {
    id: "arrow", viewBox: "0 0 10 10", refX: 8, refY: 5, markerWidth: 5, markerHeight: 5,
    orient: "auto",
  });
  marker.append(shape("path", { d: "M0 0L10 5L0 10z", class: "arrow-head" }));
  return marker;
}

export function drawShapes(place, shapes) {
  if (!shapes) return place.replaceChildren();
  return place.replaceChildren(
    arrow(),
    ...shapes.houses.flatMap((house) => bands(house, "band")),
    ...shapes.covers.flatMap((house) => bands(house, "band empty")),
    ...shapes.cells.flatMap((cell) => [frame(cell, 4, "outline"), frame(cell, 10, "outline")]),
    ...shapes.ends.map((cell) => frame(cell, 8, "outline heavy")),
    ...shapes.witnesses.map((cell) =>
      shape("circle", { cx: xOf(cell) + 50, cy: yOf(cell) + 50, r: 40, class: "outline" })),
    ...shapes.places.map(([cell]) => frame(cell, 9, "place")),
    ...shapes.links.flatMap((each) => link(each, shapes.is_directed)),
  );
}
