(function () {
  "use strict";
  var table = document.getElementById("logs"), opened = [];
  // of many logs, steps and numbers that conform would fill a page each: they are printed where they stand open
  addEventListener("beforeprint", function () {
    opened = Array.prototype.slice.call(document.querySelectorAll("details:not([open])")).filter(function (each) {
      return !(table && each.matches(".steps, .measured"));
    });
    opened.forEach(function (each) { each.open = true; });
  });
  addEventListener("afterprint", function () {
    opened.forEach(function (each) { each.open = false; });
  });
  // a collapsed log would be where the reader lands, and say nothing
  function open(hash) {
    var named = hash.length > 1 && document.getElementById(hash.slice(1));
    if (named && named.tagName === "DETAILS") { named.open = true; }
  }
  document.addEventListener("click", function (event) {
    var link = event.target.closest("a[href^='#']");
    if (link) { open(link.hash); }
  });
  addEventListener("hashchange", function () { open(location.hash); });
  open(location.hash);
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
