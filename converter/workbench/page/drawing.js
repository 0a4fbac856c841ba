// Drawings of blocks, as the sheet shows them. What is drawn was decided by the server.
import { svg } from "./dom.js";

export const pairs = (flat) => flat.reduce((all, v, i) => (i % 2 ? all[all.length - 1].push(v) : all.push([v]), all), []);

/** Whether black or white can be read better on a colour (luma by the Rec. 709 weights). */
export function inkOn(colour) {
  const [r, g, b] = [1, 3, 5].map((i) => parseInt(colour.slice(i, i + 2), 16));
  return 0.2126 * r + 0.7152 * g + 0.0722 * b > 130 ? "#1b1b1b" : "#ffffff";
}
/** The middle (centroid) of a flat list of corners, and how much room there is round it. */
export function middle(flat) {
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
/** A small picture of a block; pieces are [id, colour, corners]. */
export function picture(size, pieces, guide = "", label = "") {
  const drawing = svg("svg", { viewBox: `0 0 ${size[0]} ${size[1]}`, class: "plain",
    ...(label ? { role: "img", "aria-label": label } : { "aria-hidden": "true" }) });
  drawing.append(...pieces.map(([, colour, corners]) =>
    svg("polygon", { points: corners.join(" "), fill: colour, class: "piece" })));
  if (guide) drawing.append(svg("path", { d: guide, class: "guide" }));
  drawing.append(svg("rect", { width: size[0], height: size[1], class: "frame" }));
  return drawing;
}
export function numbers(pieces, size) {
  return pieces.map(([id, colour, corners]) => {
    const [x, y, reach] = middle(corners);
    const em = Math.min(Math.min(...size) * 0.06, (reach * 2) / (0.36 * id.length + 0.75));
    return svg("text", { x, y: y + em * 0.365, "font-size": em, fill: inkOn(colour), class: "number" }, id);
  });
}
/** Draws what comes into view, and only then: there may be thousands. */
export function whenSeen(draw) {
  const watcher = new IntersectionObserver((entries) => {
    for (const { isIntersecting, target } of entries) if (isIntersecting) {
      watcher.unobserve(target);
      draw(target);
    }
  }, { rootMargin: "400px" });
  return watcher;
}
