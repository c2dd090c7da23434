// Everything that was filled in; tables are those of the sheets that are saved.

export const state = {
  units: "inch",
  job: "place",
  logs: [],
  how: { for_files: [] },
  tables: { piece: {} },
  stock: {},
  extras: {},
  chosen: null,
};

export function get(tables, path) {
  return path.reduce((here, key) => (here === null || typeof here !== "object" ? undefined : here[key]), tables);
}

export function put(tables, path, value) {
  const [key, ...rest] = path;
  if (!rest.length) {
    if (value === "" || value === undefined || value === null) { delete tables[key]; } else { tables[key] = value; }
    return;
  }
  if (tables[key] === null || typeof tables[key] !== "object") { tables[key] = {}; }
  put(tables[key], rest, value);
  // A row stays a row of its list when its last field is emptied.
  if (!Object.keys(tables[key]).length && !Array.isArray(tables)) { delete tables[key]; }
}

export function question() {
  const hasStock = (state.stock.board || []).length > 0;
  return {
    job: state.job,
    units: state.units,
    logs: state.logs.map((one) => ({ key: one.key, role: one.role })),
    how: state.how,
    tables: Object.keys(state.tables.piece || {}).length ? state.tables : {},
    stock: hasStock ? state.stock : {},
    extras: state.extras,
  };
}
