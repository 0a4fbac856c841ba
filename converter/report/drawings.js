"use strict";
// The page's scripts are one: drawings, sheet, panel, choices, place, in this order.
const data = JSON.parse(document.getElementById("data").textContent);
const lines = document.getElementById("blocks").textContent.split("\n");
const find = (selector, root = document) => root.querySelector(selector);
const tools = find(".tools"), sheet = find(".sheet"), panel = find("dialog"), controls = tools.elements;

// ---- small helpers ------------------------------------------------------------------------------------
function html(name, attributes = {}, ...children) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  element.append(...children);
  return element;
}
function svg(name, attributes = {}, ...children) {
  const element = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  element.append(...children);
  return element;
}
function shown(value, [, , unit, decimals, , , scale]) {
  if (value === null) return "–";
  const text = (value * scale).toFixed(decimals);
  return text + unit;
}
const plain = (number) => String(Math.round(number * 1000) / 1000);
const pairs = (flat) => flat.reduce((all, v, i) => (i % 2 ? all[all.length - 1].push(v) : all.push([v]), all), []);

/** Whether black or white can be read better on a colour (luma by the Rec. 709 weights). */
function inkOn(colour) {
  const [r, g, b] = [1, 3, 5].map((i) => parseInt(colour.slice(i, i + 2), 16));
  return 0.2126 * r + 0.7152 * g + 0.0722 * b > 130 ? "#1b1b1b" : "#ffffff";
}

/** The middle (centroid) of a flat list of corners, and the largest text that fits near it, in mm. */
function middle(flat) {
  const points = pairs(flat);
  let area = 0, x = 0, y = 0;
  points.forEach(([ax, ay], i) => {
    const [bx, by] = points[(i + 1) % points.length], cross = ax * by - bx * ay;
    area += cross; x += (ax + bx) * cross; y += (ay + by) * cross;
  });
  [x, y] = [x / (3 * area), y / (3 * area)];
  const reach = points.map(([ax, ay], i) => {
    const [bx, by] = points[(i + 1) % points.length];
    return Math.abs((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / Math.hypot(bx - ax, by - ay);
  });
  return [x, y, Math.min(...reach)];
}

/** A character with all that is known of it; read when it comes into view, as there may be thousands. */
function whole(card) {
  if (lines[card.index]) Object.assign(card.glyph, JSON.parse(lines[card.index]));
  lines[card.index] = "";
  return card.glyph;
}

// ---- drawings -----------------------------------------------------------------------------------------
function base(glyph, label) {
  const [width, height] = glyph.size;
  return svg("svg", { viewBox: `0 0 ${width} ${height}`, class: "plain", role: "img", "aria-label": label });
}
function pieceShape([, fabric, corners], more = "") {
  return svg("polygon", { points: corners.join(" "), fill: data.fabrics[fabric], class: `piece ${more}` });
}
function finish(drawing, glyph) {
  if (glyph.guide) drawing.append(svg("path", { d: glyph.guide, class: "guide" }));
  drawing.append(svg("rect", { width: glyph.size[0], height: glyph.size[1], class: "frame" }));
}
function thumbnail(glyph) {
  const drawing = base(glyph, "");
  drawing.setAttribute("aria-hidden", "true");
  drawing.append(...glyph.pieces.map((piece) => pieceShape(piece)));
  finish(drawing, glyph);
  return drawing;
}

/** The sewing of a glyph: for each step the pieces that it adds, its seam and what it says. */
function stepsOf(glyph) {
  const steps = [], inside = {};
  for (const [name, pieces] of glyph.sections) {
    inside[name] = pieces;
    pieces.slice(1).forEach((piece, i) => {
      const before = pieces.slice(0, i + 1), id = (p) => glyph.pieces[p][0];
      const there = i > 2 ? `${id(before[0])}–${id(before[i])}`
        : before.map(id).join(", ").replace(/, (?=\w+$)/, " and ");
      steps.push({ there: before, added: [piece], text: `Section ${name}: sew ${id(piece)} to ${there}.` });
    });
  }
  for (const [step, first, second, made] of glyph.joins) {
    inside[made] = inside[first].concat(inside[second]);
    steps.push({ there: inside[first], added: inside[second],
      text: `Join ${step}: sew ${second.replaceAll("+", " + ")} to ${first.replaceAll("+", " + ")}.` });
  }
  return steps;
}

/** The seam of a step: what is there and what is added are convex, and lie on either side of one line. */
function seamOf(glyph, { there, added }) {
  const rings = (places) => places.map((p) => pairs(glyph.pieces[p][2]));
  const before = rings(there).flat(), after = rings(added).flat();
  let best = null;
  for (const ring of rings(added)) ring.forEach(([ax, ay], i) => {
    const [bx, by] = ring[(i + 1) % ring.length], long = Math.hypot(bx - ax, by - ay) || 1;
    const off = ([x, y]) => ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / long;
    const along = ([x, y]) => (bx - ax) * (x - ax) + (by - ay) * (y - ay);
    const a = after.map(off), b = before.map(off);
    const onTheirSides = (left, right) => Math.max(...left, ...right.map((distance) => -distance));
    const astray = Math.min(onTheirSides(a, b), onTheirSides(b, a));
    if (!best || astray < best.astray) best = { astray, off, along };
  });
  // Corners are rounded to 0.01 mm, and a short side that is off by that much points astray at a long one's end.
  const near = after.filter((corner) => Math.abs(best.off(corner)) <= best.astray + 0.05);
  near.sort((one, other) => best.along(one) - best.along(other));
  return [...near[0], ...near.at(-1)];
}

/** The block as it is after a number of steps; after the last it is finished. */
function drawingAt(glyph, steps, at) {
  const done = at >= steps.length, now = done ? null : steps[at];
  const drawing = base(glyph, done ? `${glyph.tag}: the finished block` : `${glyph.tag}: step ${at + 1}`);
  const visible = new Set(done ? glyph.pieces.keys() : []);
  if (!done) for (const step of steps.slice(0, at + 1)) for (const p of [...step.there, ...step.added]) visible.add(p);
  const added = new Set(now ? now.added : []), texts = [];
  glyph.pieces.forEach((piece, place) => {
    drawing.append(pieceShape(piece, visible.has(place) ? (added.has(place) ? "new" : "") : "faint"));
    const [x, y, reach] = middle(piece[2]);
    const size = Math.min(Math.min(...glyph.size) * 0.065, (reach * 2) / (0.36 * piece[0].length + 0.75));
    const fill = visible.has(place) ? inkOn(data.fabrics[piece[1]]) : "currentColor";
    texts.push(svg("text", { x, y: y + size * 0.365, "font-size": size, fill, class: "number",
      opacity: visible.has(place) ? 1 : 0.35 }, piece[0]));
  });
  finish(drawing, glyph);
  if (now) {
    const [x1, y1, x2, y2] = seamOf(glyph, now);
    drawing.append(svg("line", { x1, y1, x2, y2, class: "casing" }), svg("line", { x1, y1, x2, y2, class: "seam" }));
  }
  drawing.append(...texts);
  drawing.append(...glyph.reasons.map((reason, i) => placeOf(glyph, reason, i)).filter(Boolean));
  return drawing;
}

/** The mark of a finding: a cross of four strokes round its place, the piece's outline where it names one. */
function placeOf(glyph, [, severity, , , , where, piece], index) {
  if (!where && piece === null) return null;
  const spot = svg("g", { class: `spot ${severity}`, "data-reason": index }), unit = Math.min(...glyph.size) / 30;
  const add = (name, attributes) => {
    for (const kind of ["place casing", "place"]) spot.append(svg(name, { ...attributes, class: kind }));
  };
  if (piece !== null) add("polygon", { points: glyph.pieces[piece][2].join(" ") });
  const [x, y] = where || middle(glyph.pieces[piece][2]);
  const stroke = (dx, dy) => `M${x + dx * unit * 0.7} ${y + dy * unit * 0.7}L${x + dx * unit * 2} ${y + dy * unit * 2}`;
  if (where) add("path", { d: stroke(1, 0) + stroke(-1, 0) + stroke(0, 1) + stroke(0, -1) });
  const right = x + unit * 4 < glyph.size[0] ? 1 : -1, up = y - unit * 3 > 0 ? 1 : -1;
  spot.append(svg("text", { x: x + right * unit * 1.7, y: y - up * unit * 1.5 + unit * 0.8, "font-size": unit * 2.2,
    "stroke-width": unit * 0.5, "text-anchor": "middle", class: "place-name" }, String(index + 1)));
  return spot;
}

