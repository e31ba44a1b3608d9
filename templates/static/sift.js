/* A field that leaves only the kinds that have the words typed, trade synonyms included. */
(function () {
  "use strict";
  var place = document.getElementById("sift");
  var items = Array.prototype.slice.call(document.querySelectorAll("[data-words]"));
  if (!place || !items.length) { return; }
  var sections = Array.prototype.slice.call(document.querySelectorAll("section.part"));

  function plain(text) {
    return text.toLowerCase().normalize("NFKD").replace(/[\u0300-\u036f]/g, "").replace(/['’-]/g, " ");
  }

  var label = document.createElement("label");
  var field = document.createElement("input");
  var count = document.createElement("p");
  label.className = count.className = "label";
  label.htmlFor = field.id = "sift-words";
  label.textContent = "Find a word of the log, or what your trade calls it";
  field.type = "search";
  field.autocomplete = "off";
  count.setAttribute("role", "status");
  place.append(label, field, count);
  place.hidden = false;

  field.addEventListener("input", function () {
    var wanted = plain(field.value).split(/\s+/).filter(Boolean);
    var left = 0;
    items.forEach(function (item) {
      var words = plain(item.getAttribute("data-words"));
      var fits = wanted.every(function (word) { return words.indexOf(word) >= 0; });
      item.hidden = !fits;
      left += fits ? 1 : 0;
    });
    sections.forEach(function (section) {
      var kinds = section.querySelectorAll("[data-words]");
      section.hidden = wanted.length > 0 && (kinds.length === 0 || Array.prototype.every.call(kinds, function (kind) { return kind.hidden; }));
    });
    count.textContent = wanted.length ? (left ? left + (left === 1 ? " kind" : " kinds") : "No kind has these words.") : "";
  });
}());
