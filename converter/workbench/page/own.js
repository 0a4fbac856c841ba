// What is set for one letter alone; alphabet.toml says the same.
import { html } from "./dom.js";

export function settingsOf(data, letter, choose) {
  const own = data.own[letter.name] ?? {};
  const put = (name) => (event) => choose({ [letter.name]: { [name]: event.target.value || null } });
  const menu = (name, text, values, usual) => html("label", {}, text, html("select", { name, disabled: !data.font, onchange: put(name) },
    html("option", { value: "" }, `the set’s (${usual})`),
    ...values.map((value) => html("option", { value, selected: own[name] === value }, value))));
  return [html("h2", { id: "own" }, "Set for this letter"),
    menu("detail", "detail", data.details, data.detail), menu("width", "width", data.widths, data.width),
    html("form", { onsubmit: (event) => {
      event.preventDefault();
      choose({ [letter.name]: { margin: event.target.elements.margin.value.trim() || null } });
    } }, html("label", {}, "margin", html("input", { type: "text", name: "margin", value: own.margin ?? "", disabled: !data.font,
      placeholder: "the set’s", size: 8 })), html("button", { disabled: !data.font }, "Set")),
    html("p", { class: "note" }, data.font ? "Written into alphabet.toml, and made anew at once."
      : "The font was not found, so that nothing can be converted anew.")];
}
