// Values at a place of a chart: by pointer, by touch, or with the arrow keys.

export function readable(root) {
  for (const figure of root.querySelectorAll("figure[data-readings]")) { follow(figure, root); }
}

function follow(figure, root) {
  const svg = figure.querySelector("svg"), line = figure.querySelector(".cursor");
  const out = figure.querySelector(".reading");
  const rows = JSON.parse(root.querySelector(`#${CSS.escape(figure.dataset.readings)}`).textContent);
  const hint = "Point at the drawing, tap it, or use the arrow keys to read values.";
  let at = rows.length - 1;
  const show = (index) => {
    at = Math.max(0, Math.min(rows.length - 1, index));
    line.setAttribute("x1", rows[at][0]);
    line.setAttribute("x2", rows[at][0]);
    line.style.visibility = "visible";
    out.textContent = rows[at][1];
  };
  const nearest = (event) => {
    const box = svg.getBoundingClientRect();
    const x = (event.clientX - box.left) * svg.viewBox.baseVal.width / box.width;
    let low = 0, high = rows.length - 1;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (rows[middle][0] < x) { low = middle; } else { high = middle; }
    }
    show(x - rows[low][0] < rows[high][0] - x ? low : high);
  };
  svg.setAttribute("tabindex", "0");
  svg.addEventListener("pointermove", nearest);
  svg.addEventListener("pointerdown", nearest);
  svg.addEventListener("pointerleave", () => { line.style.visibility = "hidden"; out.textContent = hint; });
  svg.addEventListener("keydown", (event) => {
    const step = { ArrowLeft: -1, ArrowRight: 1, PageUp: -30, PageDown: 30 }[event.key];
    if (event.key === "Home") { show(0); } else if (event.key === "End") { show(rows.length - 1); }
    else if (step) { show(at + step); } else { return; }
    event.preventDefault();
  });
  out.textContent = hint;
}
