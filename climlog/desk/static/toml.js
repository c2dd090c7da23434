// A sheet written here where the desk has stopped and cannot write it.

function value(one) {
  if (Array.isArray(one)) { return `[${one.map(value).join(", ")}]`; }
  if (one !== null && typeof one === "object") {
    return `{ ${Object.entries(one).map(([key, inner]) => `${key} = ${value(inner)}`).join(", ")} }`;
  }
  return JSON.stringify(one).replace(/\x7f/g, "\\u007f");
}

export function sheetText(tables) {
  const blocks = [];
  for (const [name, table] of Object.entries(tables)) {
    const many = Array.isArray(table);
    for (const row of many ? table : [table]) {
      const lines = Object.entries(row).map(([key, one]) => `${key} = ${value(one)}`);
      if (lines.length) { blocks.push([many ? `[[${name}]]` : `[${name}]`, ...lines].join("\n")); }
    }
  }
  return `${blocks.join("\n\n")}\n`;
}
