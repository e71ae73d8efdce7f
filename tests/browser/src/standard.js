// Everything on the screen that has a role, with its name and the named things around it.
const ROLES = {
  A: "link", BUTTON: "button", DIALOG: "dialog", FIELDSET: "group", H1: "heading", H2: "heading",
  H3: "heading", MAIN: "main", OL: "list", OUTPUT: "status", SECTION: "region", SELECT: "combobox",
  TEXTAREA: "textbox", UL: "list",
};
const INPUTS = { checkbox: "checkbox", radio: "radio", number: "spinbutton", search: "searchbox" };
const AROUND = ["group", "region", "dialog", "list", "main", "radiogroup"];

function role(it) {
  if (it.hasAttribute("role")) return it.getAttribute("role");
  return it.tagName === "INPUT" ? INPUTS[it.type] ?? "textbox" : ROLES[it.tagName];
}

function text(node) {
  if (node.nodeType === Node.TEXT_NODE) return node.data;
  if (node.nodeType !== Node.ELEMENT_NODE || node.getAttribute("aria-hidden") === "true") return "";
  if (node.hasAttribute("aria-label")) return node.getAttribute("aria-label");
  const style = getComputedStyle(node);
  if (style.display === "none" || style.visibility === "hidden") return "";
  const inner = [...node.childNodes].map(text).join("");
  return style.display.startsWith("inline") ? inner : ` ${inner} `;
}

function name(it) {
  const by = (it.getAttribute("aria-labelledby") ?? "").split(" ").filter(Boolean);
  const label = () => {
    if (by.length) return by.map((id) => text(document.getElementById(id))).join(" ");
    if (it.hasAttribute("aria-label")) return it.getAttribute("aria-label");
    if (it.labels?.length) return [...it.labels].map(text).join(" ");
    if (it.tagName === "FIELDSET") return text(it.querySelector("legend") ?? document.createTextNode(""));
    return ["link", "button", "heading", "radio", "tab", "option"].includes(role(it)) ? text(it) : "";
  };
  return label().trim().replace(/\s+/g, " ");
}

const wanted = `[role], input, ${Object.keys(ROLES).join()}`;
const shown = (it) => it.checkVisibility({ visibilityProperty: true }) && !it.closest("[aria-hidden=true], [inert]");
return [...document.querySelectorAll(wanted)].filter(shown).map((it) => {
  const inside = [];
  for (let up = it.parentElement; up; up = up.parentElement) {
    if (up.matches(wanted) && AROUND.includes(role(up)) && name(up)) inside.push(name(up));
  }
  return {
    node: it, role: role(it), name: name(it), inside,
    disabled: it.disabled === true || it.getAttribute("aria-disabled") === "true",
    on: it.checked === true || ["pressed", "checked", "selected"].some((on) => it.getAttribute(`aria-${on}`) === "true"),
  };
});
