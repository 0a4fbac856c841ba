"use strict";
const data = JSON.parse(document.getElementById("data").textContent);
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
  return unit === "mm" ? `${text} mm` : text + unit;
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
  let seam = 0;
  for (const [name, pieces] of glyph.sections) {
    inside[name] = pieces;
    pieces.slice(1).forEach((piece, i) => {
      const before = pieces.slice(0, i + 1), id = (p) => glyph.pieces[p][0];
      const there = i > 2 ? `${id(before[0])} to ${id(before[i])}`
        : before.map(id).join(", ").replace(/, (?=\w+$)/, " and ");
      steps.push({ there: before, added: [piece], seam: glyph.seams[seam++],
        text: `Section ${name}: sew ${id(piece)} to ${there}.` });
    });
  }
  for (const [step, first, second, made] of glyph.joins) {
    inside[made] = inside[first].concat(inside[second]);
    steps.push({ there: inside[first], added: inside[second], seam: glyph.seams[seam++],
      text: `Join ${step}: sew ${second.replaceAll("+", " + ")} to ${first.replaceAll("+", " + ")}.` });
  }
  return steps;
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
    const [x1, y1, x2, y2] = now.seam;
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

// ---- the sheet of characters --------------------------------------------------------------------------
const cards = data.glyphs.map((glyph, index) => {
  const count = (n, what) => `${n} ${what}${n === 1 ? "" : "s"}`, { pieces, sections } = glyph;
  const why = glyph.reasons.length ? glyph.reasons[0][2]
    : pieces.length ? `${count(pieces.length, "piece")}, ${count(sections.length, "section")}` : "";
  const thumb = html("span", { class: "thumb" });
  const button = html("button", { type: "button", "data-index": index, "aria-haspopup": "dialog" },
    thumb,
    html("span", { class: "name" }, html("b", {}, glyph.tag), html("i", { class: glyph.status }, glyph.status)),
    html("span", { class: "why" }, why));
  const item = html("li", {}, button);
  const words = [glyph.tag, glyph.name, glyph.text, glyph.key, ...glyph.codes].join(" ").toLowerCase();
  return { glyph, index, item, button, thumb, words };
});
function draw(card) {
  if (!card.thumb.firstChild) card.thumb.append(thumbnail(card.glyph));
}
const watcher = new IntersectionObserver((entries) => {
  for (const entry of entries) if (entry.isIntersecting) {
    draw(cards[find("button", entry.target).dataset.index]);
    watcher.unobserve(entry.target);
  }
}, { rootMargin: "400px" });
cards.forEach((card) => watcher.observe(card.item));
addEventListener("beforeprint", () => current.forEach(draw));

let current = [];
function matches(card, words) {
  const { glyph } = card, text = controls.words.value.trim();
  const wanted = [...controls.status].filter((box) => box.checked).map((box) => box.value);
  if (!wanted.includes(glyph.status)) return false;
  if (controls.finding.value && !glyph.reasons.some(([id]) => id === controls.finding.value)) return false;
  // One character means that character; more are looked for in its names.
  return !text || ([...text].length === 1 ? glyph.text === text : words.every((word) => card.words.includes(word)));
}
function arrange() {
  const words = controls.words.value.trim().toLowerCase().split(/\s+/), order = controls.order.value;
  const figure = data.figures.findIndex(([name]) => name === order);
  const sign = figure >= 0 && data.figures[figure][4] === "low" ? 1 : -1;
  current = cards.filter((card) => matches(card, words));
  current.sort((a, b) => {
    let difference = 0;
    if (order === "status") difference = data.statuses.indexOf(a.glyph.status) - data.statuses.indexOf(b.glyph.status);
    else if (order === "name") difference = a.glyph.name < b.glyph.name ? -1 : a.glyph.name > b.glyph.name ? 1 : 0;
    else if (figure >= 0) {
      const [one, other] = [a.glyph.metrics[figure], b.glyph.metrics[figure]];
      if (one === null || other === null) difference = (one === null) - (other === null);
      else difference = sign * (one - other);
    }
    return difference || a.index - b.index;
  });
  sheet.replaceChildren(...current.map((card) => card.item));
  find(".none").hidden = current.length > 0;
  find("output", tools).value = current.length === cards.length
    ? `${cards.length} shown` : `${current.length} of ${cards.length} shown`;
  document.body.classList.toggle("no-outline", !controls.outline.checked);
}
tools.addEventListener("input", arrange);
tools.addEventListener("submit", (event) => event.preventDefault());
find(".all").addEventListener("click", () => { tools.reset(); arrange(); });
sheet.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (button) open(cards[button.dataset.index]);
});

// ---- a character's panel ------------------------------------------------------------------------------
const slider = find(".steps input"), player = find(".play");
let card = null, steps = [], timer = 0;

function open(next) {
  stop();
  card = next;
  const { glyph } = card;
  steps = stepsOf(glyph);
  find("#panel-title").textContent = glyph.tag;
  const sub = find(".bar .sub"), names = [...new Set([...glyph.codes, glyph.name])].filter((n) => n && n !== glyph.tag);
  sub.replaceChildren(html("span", { class: glyph.status }, glyph.status), ` · ${names.join(" · ")}`,
    glyph.level ? ` · ${glyph.level}` : "", glyph.proved ? " · proved to have the fewest pieces" : "");
  find(".reasons").replaceChildren(...(glyph.reasons.length ? glyph.reasons.map(reasonItem)
    : [html("li", { class: "nothing" }, glyph.pieces.length ? "Nothing: every limit is met." : "Nothing.")]));
  find(".figures").replaceChildren(...data.figures.flatMap((figure, i) =>
    [html("dt", { title: figure[5] }, figure[1]), html("dd", {}, shown(glyph.metrics[i], figure))]));
  find(".steps").hidden = steps.length === 0;
  slider.max = steps.length;
  slider.value = steps.length;
  show();
  const place = current.indexOf(card);
  find(".before").disabled = place <= 0;
  find(".after").disabled = place < 0 || place >= current.length - 1;
  if (!panel.open) panel.showModal();
}
function reasonItem([, severity, message, measured, limit, , , hint], index) {
  const item = html("li", { class: "reason" }, html("b", { class: severity }, `${severity}: `), message);
  const figures = [measured === null ? "" : `measured ${plain(measured)}`, limit === null ? "" : `limit ${plain(limit)}`];
  if (measured !== null || limit !== null)
    item.append(html("span", { class: "limits" }, ` (${figures.filter(Boolean).join(", ")})`));
  if (hint) item.append(html("span", { class: "hint" }, hint));
  const loud = (on) => find(`.spot[data-reason="${index}"]`, panel)?.classList.toggle("loud", on);
  item.addEventListener("mouseenter", () => loud(true));
  item.addEventListener("mouseleave", () => loud(false));
  return item;
}
function show() {
  const at = Number(slider.value);
  const { glyph } = card, done = at >= steps.length, faulty = done && glyph.faulty;
  find(".drawing").replaceChildren(faulty
    ? html("img", { src: faulty, alt: `${glyph.tag} as it was drawn, with what cannot be sewn marked` })
    : drawingAt(glyph, steps, at));
  const text = !done ? `Step ${at + 1} of ${steps.length}. ${steps[at].text}`
    : faulty ? "As it was drawn, with what cannot be sewn marked." + (steps.length ? " The steps are those of its last pieces that could be sewn." : "")
    : "The finished block.";
  find(".caption").textContent = text;
  slider.setAttribute("aria-valuetext", text);
}
function stop() {
  clearInterval(timer);
  timer = 0;
  player.textContent = "play";
}
function play() {
  if (timer) return stop();
  if (Number(slider.value) >= steps.length) slider.value = 0;
  show();
  player.textContent = "pause";
  timer = setInterval(() => {
    slider.value = Number(slider.value) + 1;
    show();
    if (Number(slider.value) >= steps.length) stop();
  }, 900);
}
function turn(by) {
  const next = current[current.indexOf(card) + by];
  if (next) open(next);
}
slider.addEventListener("input", () => { stop(); show(); });
player.addEventListener("click", play);
find(".before").addEventListener("click", () => turn(-1));
find(".after").addEventListener("click", () => turn(1));
find(".close").addEventListener("click", () => panel.close());
panel.addEventListener("click", (event) => { if (event.target === panel) panel.close(); });
panel.addEventListener("close", () => {
  stop();
  card.button.focus();
  card.item.scrollIntoView({ block: "nearest" });
});
for (const box of panel.querySelectorAll(".show input"))
  box.addEventListener("change", () => panel.classList.toggle(`hide-${box.name}`, !box.checked));

// ---- keys ---------------------------------------------------------------------------------------------
function moveFocus(key) {
  const at = current.findIndex((one) => one.button === document.activeElement);
  if (at < 0) return false;
  const top = current[0].item.offsetTop;
  let columns = current.findIndex((one) => one.item.offsetTop > top);
  if (columns < 1) columns = current.length;
  const by = { ArrowLeft: -1, ArrowRight: 1, ArrowUp: -columns, ArrowDown: columns, Home: -at, End: current.length - 1 - at };
  const next = current[at + by[key]];
  if (next) { next.button.focus(); next.item.scrollIntoView({ block: "nearest" }); }
  return true;
}
addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const typing = event.target.matches("input, select");
  if (panel.open) {
    if (!typing && event.key === "ArrowLeft") turn(-1);
    else if (!typing && event.key === "ArrowRight") turn(1);
    return;
  }
  if (event.key === "/" && !event.target.matches("input[type=search]")) controls.words.focus();
  else if (event.key === "Escape" && event.target === controls.words) { controls.words.value = ""; arrange(); return; }
  else if (event.key === "ArrowDown" && event.target === controls.words && current.length) current[0].button.focus();
  else if (!/^(Arrow|Home|End)/.test(event.key) || typing || !moveFocus(event.key)) return;
  event.preventDefault();
});

tools.hidden = false;
arrange();
