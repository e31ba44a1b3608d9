/* Search and sort on the shelf. The page is whole without this file: it only adds a field, and hides what doesn't fit. */
(function () {
  "use strict";
  var rows = window.logbookSearch;
  var main = document.getElementById("main");
  if (!rows || !main) { return; }
  var root = new URL("../", document.currentScript.src).href;
  var fold = function (text) {
    return text.toLowerCase().normalize("NFKD").replace(/[\u0300-\u036f]/g, "");
  };
  var make = function (tag, attributes, text) {
    var made = document.createElement(tag);
    Object.keys(attributes).forEach(function (name) { made.setAttribute(name, attributes[name]); });
    if (text) { made.textContent = text; }
    return made;
  };

  var form = make("form", { "class": "find added", role: "search" });
  form.appendChild(make("label", { "for": "find-words", "class": "label" }, "Find a job, a part or a word"));
  var field = make("input", { id: "find-words", type: "search", autocomplete: "off", "aria-describedby": "find-count" });
  var count = make("p", { id: "find-count", "class": "label", role: "status" });
  var list = make("ol", { "class": "jobs found" });
  form.appendChild(field);
  form.appendChild(count);
  form.appendChild(list);
  form.addEventListener("submit", function (event) { event.preventDefault(); });
  main.insertBefore(form, main.firstChild);

  var show = function () {
    var wanted = fold(field.value).split(/\s+/).filter(Boolean);
    list.textContent = "";
    count.textContent = "";
    if (!wanted.length) { return; }
    var hits = rows.filter(function (row) {
      var text = fold(row[0] + " " + row[3]) + " " + row[4];
      return wanted.every(function (word) { return text.indexOf(word) >= 0; });
    });
    var first = function (row) {
      var title = fold(row[0]);
      return wanted.every(function (word) { return title.indexOf(word) >= 0; }) ? 0 : 1;
    };
    hits.sort(function (a, b) {
      return first(a) - first(b) || (a[5] < b[5] ? 1 : a[5] > b[5] ? -1 : 0) || (a[0] < b[0] ? -1 : 1);
    });
    hits.slice(0, 40).forEach(function (row) {
      var item = make("li", {});
      item.appendChild(make("a", { href: root + row[1] + (row[2] ? "#" + encodeURIComponent(row[2]) : "") }, row[0]));
      if (row[3]) { item.appendChild(make("p", {}, row[3])); }
      list.appendChild(item);
    });
    count.textContent = !hits.length ? "No job has these words." :
      hits.length > 40 ? hits.length + " found, the first 40 shown" : hits.length + " found";
  };
  field.addEventListener("input", show);
  show();

  /* Sort: any table marked so gets heads that can be pressed. */
  Array.prototype.forEach.call(document.querySelectorAll("table.sorts"), function (table) {
    var body = table.tBodies[0];
    Array.prototype.forEach.call(table.tHead.rows[0].cells, function (head, column) {
      var press = make("button", { type: "button", "class": "sort" }, head.textContent);
      head.textContent = "";
      head.appendChild(press);
      press.addEventListener("click", function () {
        var up = head.getAttribute("aria-sort") !== "ascending";
        Array.prototype.forEach.call(table.tHead.rows[0].cells, function (cell) { cell.removeAttribute("aria-sort"); });
        head.setAttribute("aria-sort", up ? "ascending" : "descending");
        var key = function (row) {
          var cell = row.cells[column];
          return cell.getAttribute("data-sort") || cell.textContent.trim();
        };
        Array.prototype.slice.call(body.rows).sort(function (a, b) {
          return (up ? 1 : -1) * key(a).localeCompare(key(b), "en", { numeric: true });
        }).forEach(function (row) { body.appendChild(row); });
      });
    });
  });
}());
