// The PDFs of a set: made here, looked at in the browser's own viewer.
import { ask, doing, html, tell, under } from "./dom.js";

export async function showPaper(main, data) {
  const list = html("ul", { class: "papers" });
  const size = html("select", { name: "paper" }, html("option", { value: "a4" }, "A4"), html("option", { value: "letter" }, "US Letter"));
  const button = html("button", { type: "button", class: "main", onclick: make }, "Make the papers");
  main.replaceChildren(html("div", { class: "top" }, html("p", { class: "over" }, data.title), html("h1", {}, "Paper"),
    html("p", { class: "note" }, "Print at actual size, without fitting to the page, and measure the test square before you sew."),
    html("p", { class: "acts" }, html("label", {}, "paper ", size), button), list));
  fill((await ask(`sets/${under(data.id)}/papers`)).papers);

  function fill(papers) {
    list.replaceChildren(...(papers.length ? papers.map(({ name, what, size: bytes }) => html("li", {},
      html("a", { href: `api/sets/${under(data.id, "papers", name)}`, target: "_blank", rel: "noopener" }, name),
      html("span", {}, `${what} · ${bytes < 1e6 ? `${Math.ceil(bytes / 1e3)} kB` : `${(bytes / 1e6).toFixed(1)} MB`}`))) : [html("li", {}, "None have been made yet.")]));
  }
  function make() {
    button.disabled = true;
    tell("Setting the pages; a large set takes some minutes …");
    return doing(async () => {
      fill((await ask(`sets/${under(data.id)}/papers/make`, { paper: size.value })).papers);
      tell("Made.");
    }).finally(() => { button.disabled = false; });
  }
  return {};
}
