/* Steps the large plan through the days. Without this file the small plans say the same. */
(function () {
  "use strict";

  function pairs(text) {
    return text ? text.split(";").map(function (item) { return item.split("="); }) : [];
  }

  function tagged(group, plan, tags) {
    var wanted = {};
    tags.forEach(function (tag) { wanted[tag[0]] = tag[1].split("|"); });
    Array.prototype.forEach.call(group.children, function (text) {
      var place = text.getAttribute("data-place");
      var row = Number(text.getAttribute("data-row"));
      var said = (wanted[place] || [])[row] || "";
      if (said === text.textContent) { return; }
      text.removeAttribute("textLength");
      text.textContent = said;
      if (said) {
        text.setAttribute("textLength", Math.min(text.getComputedTextLength(), Number(text.getAttribute("data-room"))));
        text.setAttribute("lengthAdjust", "spacingAndGlyphs");
      }
    });
  }

  function setUp(strip) {
    var plan = document.getElementById(strip.getAttribute("data-plan"));
    var days = Array.prototype.slice.call(strip.children);
    if (!plan || days.length < 2) { return; }
    var group = plan.querySelector("[data-tags]");
    var uses = Array.prototype.slice.call(plan.querySelectorAll("use[data-place]"));
    var size = uses[0].getAttribute("href").replace(/^.*-/, "");
    var at = days.findIndex(function (day) { return day.hasAttribute("aria-current"); });
    var name = plan.getAttribute("aria-label").replace(/:.*$/, "");

    var row = document.createElement("p");
    row.className = "stepper added";
    var earlier = document.createElement("button");
    var later = document.createElement("button");
    var said = document.createElement("span");
    earlier.type = later.type = "button";
    earlier.textContent = "a day earlier";
    later.textContent = "a day later";
    said.setAttribute("role", "status");
    row.append(earlier, later, said);
    plan.after(row);

    function show(next, quiet) {
      at = next;
      var day = days[at];
      pairs(day.getAttribute("data-states")).forEach(function (state) {
        uses.forEach(function (use) {
          if (use.getAttribute("data-place") === state[0]) {
            use.setAttribute("href", "#" + state[1].replace(" ", "-") + "-" + size);
          }
        });
      });
      if (group) { tagged(group, plan, pairs(day.getAttribute("data-tags"))); }
      days.forEach(function (one, n) {
        if (n === at) { one.setAttribute("aria-current", "date"); } else { one.removeAttribute("aria-current"); }
      });
      var states = day.getAttribute("data-states").replace(/;/g, ", ").replace(/=/g, " ");
      plan.setAttribute("aria-label", name + ", " + day.querySelector("a").textContent + ": " + states);
      earlier.disabled = at === 0;
      later.disabled = at === days.length - 1;
      said.textContent = quiet ? "" : day.querySelector("a").textContent + ": " + day.getAttribute("data-summary");
    }

    earlier.addEventListener("click", function () { show(at - 1); });
    later.addEventListener("click", function () { show(at + 1); });
    show(at, true);
  }

  Array.prototype.forEach.call(document.querySelectorAll(".strip[data-plan]"), setUp);
}());
