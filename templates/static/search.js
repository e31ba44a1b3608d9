// A field on the shelf that finds a job or a part by any word of it. The page is whole without it.
// What it looks through is a file of data that the page loads before this one.
(function () {
  "use strict";
  var rows = window.logbookSearch;
  var main = document.getElementById("main");
  if (!rows || !main) return;

  var MOST = 40;
  var root = new URL("../", document.currentScript.src).href;

  function fold(text) {
    return text.toLowerCase().normalize("NFKD").replace(/[\u0300-\u036f]/g, "");
  }

  function make(tag, attributes, text) {
    var made = document.createElement(tag);
    Object.keys(attributes).forEach(function (name) { made.setAttribute(name, attributes[name]); });
    if (text) made.textContent = text;
    return made;
  }

  var form = make("form", { "class": "find added", role: "search" });
  var field = make("input", { id: "find-words", type: "search", autocomplete: "off", "aria-describedby": "find-count" });
  var count = make("p", { id: "find-count", "class": "label", role: "status" });
  var list = make("ol", { "class": "jobs found" });
  form.append(make("label", { "for": "find-words", "class": "label" }, "Find a job, a part or a word"), field, count, list);
  form.addEventListener("submit", function (event) { event.preventDefault(); });
  main.insertBefore(form, main.firstChild);

  function matches(wanted) {
    return function (row) {
      var text = fold(row[0] + " " + row[3]) + " " + row[4];
      return wanted.every(function (word) { return text.indexOf(word) >= 0; });
    };
  }

  // Those with the words in their title first, then the latest.
  function order(wanted) {
    function late(row) {
      var title = fold(row[0]);
      return wanted.every(function (word) { return title.indexOf(word) >= 0; }) ? 0 : 1;
    }
    return function (a, b) {
      return late(a) - late(b) || b[5].localeCompare(a[5]) || a[0].localeCompare(b[0]);
    };
  }

  function item(row) {
    var made = make("li", {});
    var anchor = row[2] ? "#" + encodeURIComponent(row[2]) : "";
    made.append(make("a", { href: root + row[1] + anchor }, row[0]));
    if (row[3]) made.append(make("p", {}, row[3]));
    return made;
  }

  function show() {
    var wanted = fold(field.value).split(/\s+/).filter(Boolean);
    var hits = wanted.length ? rows.filter(matches(wanted)).sort(order(wanted)) : [];
    list.replaceChildren.apply(list, hits.slice(0, MOST).map(item));
    count.textContent = !wanted.length ? "" : !hits.length ? "No job has these words." :
      hits.length + " found" + (hits.length > MOST ? ", the first " + MOST + " shown" : "");
  }

  field.addEventListener("input", show);
  show(); // the browser may have kept what was typed
})();
