// Small helpers: elements, and the server asked.

/** An element with attributes, listeners ("onclick" and the like) and children. */
export function html(name, attributes = {}, ...children) {
  return dressed(document.createElement(name), attributes, children);
}
export function svg(name, attributes = {}, ...children) {
  return dressed(document.createElementNS("http://www.w3.org/2000/svg", name), attributes, children);
}
function dressed(element, attributes, children) {
  for (const [key, value] of Object.entries(attributes)) {
    if (typeof value === "function") element.addEventListener(key.slice(2), value);
    else if (typeof value === "boolean") element.toggleAttribute(key, value);
    else if (value !== null && value !== undefined) element.setAttribute(key, value);
  }
  element.append(...children.flat().filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}
export const find = (selector, root = document) => root.querySelector(selector);
export const count = (n, what) => `${n} ${what}${n === 1 ? "" : "s"}`;

/** Says something where everybody sees it, and readers aloud hear it. */
export function tell(text, isFault = false) {
  const place = find(".told");
  place.textContent = text;
  place.classList.toggle("fault", isFault);
}

/** What the server answers; an error has the server's own words. */
export async function ask(path, body) {
  const how = body === undefined ? {} : { method: "POST", body: JSON.stringify(body) };
  let answer;
  try {
    answer = await fetch(`api/${path}`, how);
  } catch {
    throw new Error("The program does not answer. What was shown as saved is saved; start it again to go on.");
  }
  const said = await answer.json().catch(() => ({}));
  if (!answer.ok) throw new Error(said.error ?? `The program answered ${answer.status}.`);
  return said;
}
/** Runs what a person asked for; what goes wrong is told. */
export async function doing(work) {
  try {
    return await work();
  } catch (error) {
    tell(error.message, true);
    return null;
  }
}
export const at = (...parts) => `#/${parts.map(encodeURIComponent).join("/")}`;
export const under = (...parts) => parts.map(encodeURIComponent).join("/");
