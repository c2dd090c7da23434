// Small helpers: every text goes in as text, never as markup.

export function make(tag, attributes = {}, ...children) {
  return filled(document.createElement(tag), attributes, children);
}

export function draw(tag, attributes = {}, ...children) {
  return filled(document.createElementNS("http://www.w3.org/2000/svg", tag), attributes, children);
}

function filled(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) { element.addEventListener(name.slice(2), value); }
    else if (value === true) { element.setAttribute(name, ""); }
    else if (value !== false && value !== null && value !== undefined) { element.setAttribute(name, value); }
  }
  element.append(...children.flat().filter((one) => one !== null && one !== undefined && one !== ""));
  return element;
}

export const byId = (id) => document.getElementById(id);

export function save(name, content) {
  const link = make("a", { href: URL.createObjectURL(content), download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
}

export function later(work, milliseconds) {
  let waiting = 0;
  return (...given) => {
    clearTimeout(waiting);
    waiting = setTimeout(() => work(...given), milliseconds);
  };
}

export const length = (mm, units) => {
  if (units === "metric") { return `${Math.round(mm * 10) / 10} mm`; }
  const sixteenths = Math.round(mm / 25.4 * 16), sign = sixteenths < 0 ? "-" : "";
  const whole = Math.floor(Math.abs(sixteenths) / 16);
  let part = Math.abs(sixteenths) % 16, of = 16;
  while (part && part % 2 === 0) { part /= 2; of /= 2; }
  return `${sign}${[whole || !part ? whole : "", part ? `${part}/${of}` : ""].filter((one) => one !== "").join(" ")} in`;
};
