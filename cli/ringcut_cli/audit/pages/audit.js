(function () {
  "use strict";
  addEventListener("beforeprint", function () {
    document.querySelectorAll("details").forEach(function (each) { each.open = true; });
  });
  var table = document.getElementById("logs");
  if (!table) { return; }
  var body = table.tBodies[0], rows = Array.prototype.slice.call(body.rows);
  var filter = document.getElementById("filter"), verdict = document.getElementById("verdict");
  function show() {
    var wanted = filter.value.toLowerCase().split(/\s+/).filter(Boolean), shown = 0;
    rows.forEach(function (row) {
      var text = row.textContent.toLowerCase();
      var fits = (!verdict.value || row.dataset.verdict === verdict.value) &&
        wanted.every(function (word) { return text.indexOf(word) >= 0; });
      row.hidden = !fits;
      shown += fits ? 1 : 0;
    });
    document.getElementById("count").textContent = shown + " of " + rows.length;
  }
  filter.addEventListener("input", show);
  verdict.addEventListener("change", show);
  var heads = Array.prototype.slice.call(table.tHead.rows[0].cells);
  heads.forEach(function (head, column) {
    head.querySelector("button").addEventListener("click", function () {
      var down = head.getAttribute("aria-sort") === "ascending" ||
        (head.dataset.kind === "number" && head.getAttribute("aria-sort") !== "descending");
      heads.forEach(function (each) { each.setAttribute("aria-sort", "none"); });
      head.setAttribute("aria-sort", down ? "descending" : "ascending");
      var sign = down ? -1 : 1;
      rows.sort(function (one, two) {
        var a = one.cells[column].textContent.trim(), b = two.cells[column].textContent.trim();
        return sign * (head.dataset.kind === "number" ? a - b : a.localeCompare(b, "en", { numeric: true }));
      });
      rows.forEach(function (row) { body.appendChild(row); });
    });
  });
})();
