/* A field that leaves only the kinds that have the words typed, trade synonyms included. */
(function () {
  "use strict";
  var place = document.getElementById("sift");
  var items = Array.prototype.slice.call(document.querySelectorAll("[data-words]"));
  if (!place || !items.length) { return; }
  var folded = items[0].closest("details");

  function plain(text) {
    return text.toLowerCase().normalize("NFKD").replace(/[\u0300-\u036f]/g, "").replace(/['’-]/g, " ");
  }

  var label = document.createElement("label");
  var field = document.createElement("input");
  var count = document.createElement("p");
  label.className = count.className = "label";
  label.htmlFor = field.id = "sift-words";
  label.textContent = "Find a kind of entry by any word";
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
      var fits = wanted.every(function (word) { return (" " + words).indexOf(" " + word) >= 0; });
      item.hidden = !fits;
      left += fits ? 1 : 0;
    });
    if (folded) { folded.open = wanted.length > 0; }
    count.textContent = wanted.length ? (left ? left + (left === 1 ? " kind" : " kinds") : "No kind has these words.") : "";
  });
}());
