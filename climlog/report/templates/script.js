// Shows the values at a place of a drawing: by pointer, by touch, or with the arrow keys.
document.querySelectorAll("figure[data-readings]").forEach(function (figure) {
  var svg = figure.querySelector("svg"), line = figure.querySelector(".cursor");
  var out = figure.querySelector(".reading");
  var rows = JSON.parse(document.getElementById(figure.dataset.readings).textContent);
  var at = rows.length - 1, hint = out.textContent;
  function show(index) {
    at = Math.max(0, Math.min(rows.length - 1, index));
    line.setAttribute("x1", rows[at][0]);
    line.setAttribute("x2", rows[at][0]);
    line.style.visibility = "visible";
    out.textContent = rows[at][1];
  }
  function nearest(event) {
    var box = svg.getBoundingClientRect();
    var x = (event.clientX - box.left) * svg.viewBox.baseVal.width / box.width;
    var low = 0, high = rows.length - 1;
    while (high - low > 1) {
      var middle = (low + high) >> 1;
      if (rows[middle][0] < x) { low = middle; } else { high = middle; }
    }
    show(x - rows[low][0] < rows[high][0] - x ? low : high);
  }
  svg.setAttribute("tabindex", "0");
  svg.addEventListener("pointermove", nearest);
  svg.addEventListener("pointerdown", nearest);
  svg.addEventListener("pointerleave", function () {
    line.style.visibility = "hidden";
    out.textContent = hint;
  });
  svg.addEventListener("keydown", function (event) {
    var steps = {ArrowLeft: -1, ArrowRight: 1, PageUp: -30, PageDown: 30}, step = steps[event.key];
    if (event.key === "Home") { show(0); }
    else if (event.key === "End") { show(rows.length - 1); }
    else if (step) { show(at + step); }
    else { return; }
    event.preventDefault();
  });
  out.textContent = hint = "Point at the drawing, tap it, or use the arrow keys to read values.";
});
