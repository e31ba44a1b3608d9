// While `logbook watch` runs, this page reloads when its own files have changed.
// It looks for one small file that exists only then, and only from disk or from this machine.
(function () {
  "use strict";
  var near = location.protocol === "file:" || /^(localhost|127\.\d+\.\d+\.\d+|\[::1\])$/.test(location.hostname);
  var script = document.currentScript;
  if (!near || !script) return;

  var root = new URL("../", script.src).href;
  var path = location.href.replace(/[?#].*$/, "").slice(root.length);
  if (path === "" || path.slice(-1) === "/") path += "index.html";
  var folder = path.slice(0, path.lastIndexOf("/") + 1);
  var opened = Date.now() - performance.now(); // when this page was asked for
  var seen = false;
  var failures = 0;

  function concerns(name) {
    if (name === "*" || name === path || name.indexOf("static/") === 0) return true;
    if (folder) return name.indexOf(folder) === 0;
    return name.indexOf("/") < 0 && !/\.html$/.test(name);
  }

  function changed(changes) {
    return changes.some(function (change) {
      return change[0] > opened && change[1].some(concerns);
    });
  }

  function look() {
    var asked = document.createElement("script");
    asked.src = root + ".logbook/watching.js?" + Date.now();
    asked.onload = function () {
      asked.remove();
      seen = true;
      failures = 0;
      if (changed(window.logbookWatching || [])) location.reload();
      else setTimeout(look, 300);
    };
    asked.onerror = function () {
      asked.remove();
      failures += 1;
      if (seen && failures < 20) setTimeout(look, 1000);
    };
    document.head.appendChild(asked);
  }

  look();
})();
