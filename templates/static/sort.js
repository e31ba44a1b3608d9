// Heads of a table marked 'sorts' can be pressed to sort it by that column; pressed again, the other way round.
(function () {
  "use strict";

  function key(row, column) {
    return row.cells[column].textContent.trim();
  }

  function sort(table, column, way) {
    var body = table.tBodies[0];
    Array.from(body.rows).sort(function (a, b) {
      return way * key(a, column).localeCompare(key(b, column), "en", { numeric: true });
    }).forEach(function (row) { body.append(row); });
  }

  document.querySelectorAll("table.sorts").forEach(function (table) {
    var heads = Array.from(table.tHead.rows[0].cells);
    heads.forEach(function (head, column) {
      var press = document.createElement("button");
      press.type = "button";
      press.className = "sort";
      press.textContent = head.textContent;
      head.replaceChildren(press);
      press.addEventListener("click", function () {
        var up = head.getAttribute("aria-sort") !== "ascending";
        heads.forEach(function (other) { other.removeAttribute("aria-sort"); });
        head.setAttribute("aria-sort", up ? "ascending" : "descending");
        sort(table, column, up ? 1 : -1);
      });
    });
  });
})();
