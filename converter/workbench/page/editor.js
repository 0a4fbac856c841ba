// The drawing of a figure, with its corners and edges as handles. What a drag means is asked of the server, each time
// the pointer moves; of questions that wait, only the latest is asked.
import { ask, svg, tell, under } from "./dom.js";
import { numbers } from "./drawing.js";

const REACH = 9;  // pixels, from which handles snap

export class Editor {
  constructor(data, letter, history, follow) {
    this.history = history;
    this.follow = follow;
    this.on = { both: true, snap: true };
    this.at = null;  // the handle that is chosen: "corner" or "edge", and its place
    this.waiting = null;
    this.running = null;
    this.drawing = svg("svg", { class: "plain editor", role: "group", "aria-label": `Figure of ${letter.tag}`,
      onpointerdown: (event) => this.grab(event), ondblclick: (event) => this.split(event),
      onkeydown: (event) => this.press(event), onfocusin: (event) => this.choose(event.target) });
    this.layers = Object.fromEntries(["pieces", "lines", "guide", "seams", "numbers", "spots", "rests", "handles"].map((name) => {
      const layer = svg("g", { class: `layer-${name}` });
      this.drawing.append(layer);
      return [name, layer];
    }));
    this.load(data, letter, false);
  }
  load(data, letter, draw = true) {
    Object.assign(this, { data, letter });
    const [width, height] = letter.size, pad = Math.max(width, height) * 0.05;
    this.drawing.setAttribute("viewBox", `${-pad} ${-pad} ${width + 2 * pad} ${height + 2 * pad}`);
    const line = (x1, y1, x2, y2) => svg("line", { x1, y1, x2, y2, class: "fine" });
    const { x, y } = letter.axes;
    this.layers.lines.replaceChildren(...letter.heights.map((h) => line(-pad, h, width + pad, h)),
      ...(x === null ? [] : [line(x, -pad, x, height + pad)]), ...(y === null ? [] : [line(-pad, y, width + pad, y)]));
    this.layers.guide.replaceChildren(svg("path", { class: "guide", d: letter.outline.map((ring) =>
      `M${ring.reduce((d, v, i) => d + (i ? i % 2 ? " " : "L" : "") + v, "")}Z`).join("") }));
    if (draw) this.begin();
  }
  begin() {
    const isSame = JSON.stringify(this.history.figure) === JSON.stringify(this.letter.figure);
    if (isSame) this.draw(this.history.figure, this.letter.block, []);
    else this.look();
  }
  get isCorner() { return this.at?.kind === "corner"; }
  get isEdge() { return this.at?.kind === "edge"; }
  show(name, isOn) {
    this.on[name] = isOn;
    this.drawing.classList.toggle(`hide-${name}`, !isOn);
  }

  // ---- the server asked --------------------------------------------------------------------------------
  async question(figure, act, reach = 0) {
    const { data, letter } = this;
    return ask(`sets/${under(data.id, "letters", letter.key, "try")}`, { figure, act: { ...act, both: this.on.both, reach } });
  }
  /** Asks for the latest of what waits, and shows it, until nothing waits any more. */
  async run() {
    while (this.waiting) {
      const { figure, act, reach, id, from } = this.waiting;
      this.waiting = null;
      try {
        const said = await this.question(figure, act, reach);
        if (id === this.turn) {
          this.last = said;
          this.draw(said.figure, said.block, said.rests);
          performance.measure("answered", { start: from });  // for who measures it
        }
      } catch (error) {
        tell(error.message, true);
      }
    }
    this.running = null;
    this.drawing.removeAttribute("aria-busy");
  }
  ahead(figure, act, reach) {
    this.turn ??= 0;
    this.waiting = { figure, act, reach, id: this.turn, from: performance.now() };
    this.drawing.setAttribute("aria-busy", "true");
    this.running ??= this.run();
    return this.running;
  }
  /** Waits until nothing is dragged. */
  async free() { while (this.held) await this.held; }
  async idle() { while (this.running) await this.running; }
  /** Does one thing, and keeps what comes of it. */
  async once(act, reach = 0) {
    await this.idle();
    this.last = null;
    await this.ahead(this.history.figure, act, reach);
    if (this.last) this.settle();
  }
  settle() {
    this.history.add(this.last.figure);
    this.draw(this.last.figure, this.last.block, []);
    const figures = Object.fromEntries(this.last.block.figures);
    tell(`${this.last.block.status}: ${figures.pieces} pieces, ${figures.sections} sections.`);
  }
  async look() {
    await this.idle();
    this.last = null;
    await this.ahead(this.history.figure, { kind: "look" }, 0);
  }

  // ---- drawn -------------------------------------------------------------------------------------------
  draw(figure, block, rests) {
    const { layers, letter } = this, [width, height] = letter.size;
    Object.assign(this, { shown: figure, block });
    layers.pieces.replaceChildren(svg("rect", { width, height, fill: letter.colours.background, class: "paper" }),
      ...(block.sewable ? block.pieces.map(([, fill, corners]) => svg("polygon", { points: corners.join(" "), fill, class: "piece" }))
        : figure.map((part) => svg("path", { d: pathOf(part.rings), fill: letter.colours[part.fabric], class: "piece loose", "fill-rule": "evenodd" }))),
      svg("rect", { width, height, class: "frame" }));
    layers.seams.replaceChildren(...block.seams.flatMap(([kind, [x1, y1, x2, y2]]) =>
      kind === "join" ? [svg("line", { x1, y1, x2, y2, class: "join-casing" }), svg("line", { x1, y1, x2, y2, class: "join" })]
        : [svg("line", { x1, y1, x2, y2, class: "inner" })]));
    layers.numbers.replaceChildren(...(block.sewable ? numbers(block.pieces, letter.size) : []));
    layers.spots.replaceChildren(...block.reasons.filter((r) => r.where && r.severity !== "note").map(({ where: [cx, cy], severity }) =>
      svg("circle", { cx, cy, r: Math.min(width, height) / 28, class: `spot ${severity}` })));
    layers.rests.replaceChildren(...rests.map(([, [x1, y1, x2, y2]]) => svg("line", { x1, y1, x2, y2, class: "rest" })));
    this.handles(figure);
    this.follow(block);
  }
  handles(figure) {
    const chosen = JSON.stringify(this.at), hadFocus = this.layers.handles.contains(document.activeElement);
    const all = figure.flatMap(({ rings }, p) => rings.flatMap((ring, r) => ring.flatMap(([x, y], c) => {
      const [bx, by] = ring[(c + 1) % ring.length], n = `${c + 1} of ${ring.length}`;
      return [this.handle("corner", [p, r, c], `Corner ${n}, ${x.toFixed(1)} across, ${y.toFixed(1)} down`,
        ...["grip", "rim", "dot"].map((name) => svg("path", { d: `M${x} ${y}h0`, class: name }))),
      this.handle("edge", [p, r, c], `Edge ${n}`, svg("line", { x1: x, y1: y, x2: bx, y2: by, class: "grip" }),
        svg("line", { x1: x, y1: y, x2: bx, y2: by, class: "edge" }))];
    })));
    const current = all.find((h) => JSON.stringify(h.place) === chosen) ?? all[0];
    for (const handle of all) handle.setAttribute("tabindex", handle === current ? "0" : "-1");
    current?.classList.toggle("chosen", Boolean(this.at));
    const isEdge = (h) => h.place.kind === "edge";
    this.all = all;
    this.layers.handles.replaceChildren(...all.filter(isEdge), ...all.filter((h) => !isEdge(h)));  // corners on top
    if (hadFocus && current) { this.quiet = true; current.focus({ preventScroll: true }); this.quiet = false; }
  }
  handle(kind, place, label, ...shapes) {
    const handle = svg("g", { class: `handle ${kind}`, role: "button", "aria-label": label }, ...shapes);
    handle.place = { kind, at: place };
    return handle;
  }
  choose(target) {
    const handle = target.closest?.(".handle");
    if (!handle || this.quiet) return;
    this.at = handle.place;
    for (const other of this.all) {
      other.classList.toggle("chosen", other === handle);
      other.setAttribute("tabindex", other === handle ? "0" : "-1");
    }
    if (this.block) this.follow(this.block);
  }

  // ---- by pointer --------------------------------------------------------------------------------------
  point(event) {
    const p = new DOMPoint(event.clientX, event.clientY).matrixTransform(this.drawing.getScreenCTM().inverse());
    return [p.x, p.y];
  }
  grab(event) {
    const handle = event.target.closest(".handle");
    if (!handle || event.button !== 0) return;
    event.preventDefault();
    handle.focus({ preventScroll: true });
    const { kind, at } = handle.place, figure = this.shown, from = this.point(event);
    const reach = this.on.snap ? REACH / this.drawing.getScreenCTM().a : 0;
    let moved = false, release;
    this.held = new Promise((done) => { release = done; });
    this.turn = (this.turn ?? 0) + 1;
    this.last = null;
    this.drawing.setPointerCapture(event.pointerId);
    const move = (now) => {
      const [x, y] = this.point(now);
      if (!moved && Math.hypot(x - from[0], y - from[1]) * this.drawing.getScreenCTM().a < 3) return;
      moved = true;
      this.ahead(figure, { kind, at, to: kind === "corner" ? [x, y] : [x - from[0], y - from[1]] }, reach);
    };
    const end = async (last) => {
      this.drawing.removeEventListener("pointermove", move);
      this.drawing.removeEventListener("pointerup", end);
      this.drawing.removeEventListener("pointercancel", end);
      await this.idle();
      if (last.type === "pointerup" && this.last) this.settle();
      else if (moved) await this.look();
      this.held = null;
      release();
    };
    this.drawing.addEventListener("pointermove", move);
    this.drawing.addEventListener("pointerup", end);
    this.drawing.addEventListener("pointercancel", end);
  }
  split(event) {
    const handle = event.target.closest(".handle.edge");
    if (handle) this.once({ kind: "add", at: handle.place.at, to: this.point(event) });
  }
  add() {
    if (!this.isEdge) return;
    const [[ax, ay], [bx, by]] = this.ends();
    this.once({ kind: "add", at: this.at.at, to: [(ax + bx) / 2, (ay + by) / 2] });
  }
  drop() {
    if (this.isCorner) this.once({ kind: "drop", at: this.at.at });
  }
  ends() {
    const [p, r, c] = this.at.at, ring = this.shown[p].rings[r];
    return [ring[c], ring[(c + 1) % ring.length]];
  }

  // ---- by keyboard -------------------------------------------------------------------------------------
  press(event) {
    if (event.ctrlKey || event.metaKey || event.altKey || !this.at) return;
    const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    const steps = { PageDown: 1, PageUp: -1 };
    if (event.key in arrows) {
      const step = this.letter.grid / (event.shiftKey ? 4 : 1), [dx, dy] = arrows[event.key].map((v) => v * step);
      const [[x, y]] = this.ends();
      this.once({ ...this.at, to: this.isCorner ? [x + dx, y + dy] : [dx, dy] });
    } else if (event.key in steps) {
      const here = this.all.findIndex((h) => JSON.stringify(h.place) === JSON.stringify(this.at));
      this.all[(here + steps[event.key] + this.all.length) % this.all.length].focus();
    } else if (event.key === "Home" || event.key === "End") this.all.at(event.key === "Home" ? 0 : -1).focus();
    else if (event.key === "Delete" || event.key === "Backspace") this.drop();
    else if (event.key === "Insert" || event.key === "+") this.add();
    else return;
    event.preventDefault();
  }
}
const pathOf = (rings) => rings.map((ring) => `M${ring.map((p) => p.join(" ")).join("L")}Z`).join("");
