// A field on the list of jobs that finds a job, a part, a day or an entry. The page is whole without it.
// What it looks through is a file of data that the page loads before this one: a row a job,
// [title, path, about, day, words, story, [[label, '#anchor' or path, text], ...]].
(function () {
  "use strict";
  var rows = window.logbookSearch;
  var main = document.getElementById("main");
  if (!rows || !main) return;

  var MOST_JOBS = 20, MOST_PLACES = 3, LONGEST = 160;
  var WHOLE = 3, START = 2, NEARLY = 1; // how well a word fits
  var root = new URL("../", document.currentScript.src).href;
  var index = null; // word -> numbers of places; made when the first word is typed
  var words = []; // all of them, sorted
  var places = []; // {job, label, href, text}

  function fold(text) {
    return text.toLowerCase().normalize("NFKD").replace(/[\u0300-\u036f]/g, "").replace(/[’']/g, "");
  }

  function cut(text) {
    return fold(text).match(/[\p{L}\p{N}]+(?:[.-][\p{L}\p{N}]+)*/gu) || [];
  }

  function add(job, label, href, text, more) {
    var number = places.push({ job: job, label: label, href: href, text: text }) - 1;
    cut(label + " " + text + " " + (more || "")).forEach(function (word) {
      word.split(/[-.]/).concat(word).forEach(function (piece) {
        var found = index.get(piece);
        if (!found) index.set(piece, found = new Set());
        found.add(number);
      });
    });
  }

  function build() {
    index = new Map();
    rows.forEach(function (row, job) {
      add(job, "", root + row[1], row[0] + " " + row[2], row[4]);
      row[6].forEach(function (place) {
        var to = place[1].charAt(0) === "#" ? row[5] + "#" + encodeURIComponent(place[1].slice(1)) : place[1];
        add(job, place[0], root + to, place[2]);
      });
    });
    words = Array.from(index.keys()).sort();
  }

  // Letters that must be changed, added, left out or change places to make one word of the other; `most` ends it early.
  function apart(one, other, most) {
    var before = [], last = [], row = [], i, j;
    if (Math.abs(one.length - other.length) > most) return most + 1;
    for (j = 0; j <= other.length; j++) last[j] = j;
    for (i = 1; i <= one.length; i++) {
      row = [i];
      for (j = 1; j <= other.length; j++) {
        var same = one[i - 1] === other[j - 1] ? 0 : 1;
        row[j] = Math.min(last[j] + 1, row[j - 1] + 1, last[j - 1] + same);
        if (i > 1 && j > 1 && one[i - 1] === other[j - 2] && one[i - 2] === other[j - 1]) row[j] = Math.min(row[j], before[j - 2] + 1);
      }
      if (Math.min.apply(null, row) > most) return most + 1;
      before = last;
      last = row;
    }
    return last[other.length];
  }

  function starting(word) {
    var low = 0, high = words.length, middle, found = [];
    while (low < high) {
      middle = (low + high) >> 1;
      if (words[middle] < word) low = middle + 1; else high = middle;
    }
    while (low < words.length && words[low].indexOf(word) === 0) found.push(words[low++]);
    return found;
  }

  function nearly(word) {
    var most = word.length >= 8 ? 2 : word.length >= 4 ? 1 : 0;
    if (!most || /\d/.test(word)) return [];
    var found = words.map(function (other) { return [apart(word, other, most), other]; });
    var least = Math.min.apply(null, found.map(function (f) { return f[0]; }).concat(most + 1));
    return least > most ? [] : found.filter(function (f) { return f[0] === least; }).map(function (f) { return f[1]; });
  }

  // The words of the logs that one typed word may mean, each with how well it fits.
  function meant(word) {
    var found = new Map();
    var single = word.length > 3 && word.slice(-1) === "s" ? word.slice(0, -1) : "";
    [word, single].filter(Boolean).forEach(function (w) {
      if (w.length > 1) starting(w).forEach(function (other) { found.set(other, START); });
      if (index.has(w)) found.set(w, WHOLE);
    });
    if (!found.size) nearly(word).forEach(function (other) { found.set(other, NEARLY); });
    return found;
  }

  // Places of jobs that have every word: those with the most of them, best first, a few a job.
  function search(typed) {
    var scores = new Map(); // place -> [score of each word]
    var jobs = new Map(); // job -> words that it has
    var instead = [];
    typed.forEach(function (word, n) {
      var fits = meant(word);
      fits.forEach(function (fit, other) {
        if (fit === NEARLY && instead.indexOf(other) < 0) instead.push(other);
        index.get(other).forEach(function (place) {
          var score = scores.get(place) || [];
          score[n] = Math.max(score[n] || 0, fit);
          scores.set(place, score);
          var has = jobs.get(places[place].job) || new Set();
          jobs.set(places[place].job, has.add(n));
        });
      });
    });
    var byJob = new Map();
    scores.forEach(function (score, place) {
      var job = places[place].job;
      if (jobs.get(job).size < typed.length) return;
      var sum = score.reduce(function (a, b) { return a + (b || 0); }, 0);
      var many = score.filter(Boolean).length;
      var hits = byJob.get(job) || [];
      hits.push({ place: place, many: many, sum: sum });
      byJob.set(job, hits);
    });
    var found = Array.from(byJob, function (pair) {
      var hits = pair[1].sort(function (a, b) { return b.many - a.many || b.sum - a.sum || a.place - b.place; });
      return { job: pair[0], many: hits[0].many, sum: hits[0].sum, hits: hits.filter(function (h) { return h.many === hits[0].many; }) };
    });
    found.sort(function (a, b) {
      return b.many - a.many || b.sum - a.sum || rows[b.job][3].localeCompare(rows[a.job][3]) || a.job - b.job;
    });
    return { found: found, instead: instead };
  }

  function make(tag, attributes, text) {
    var made = document.createElement(tag);
    Object.keys(attributes).forEach(function (name) { made.setAttribute(name, attributes[name]); });
    if (text) made.textContent = text;
    return made;
  }

  var below = Array.prototype.slice.call(main.children);
  var form = make("form", { "class": "find added", role: "search" });
  var field = make("input", { id: "find-words", type: "search", autocomplete: "off", placeholder: "Find a job, a part or a word", "aria-describedby": "find-count" });
  var count = make("p", { id: "find-count", "class": "label", role: "status" });
  var list = make("ol", { "class": "found" });
  form.append(make("label", { "for": "find-words", "class": "unseen" }, "Find a job, a part or a word"), field, count, list);
  form.addEventListener("submit", function (event) { event.preventDefault(); });
  main.insertBefore(form, main.firstChild);

  function shortened(text) {
    return text.length > LONGEST ? text.slice(0, LONGEST).replace(/\s+\S*$/, "") + "…" : text;
  }

  function item(hit) {
    var row = rows[hit.job];
    var made = make("li", {});
    made.append(make("h2", {}, row[0]));
    hit.hits.slice(0, MOST_PLACES).forEach(function (h) {
      var place = places[h.place];
      var link = make("a", { href: place.href });
      link.append(make("b", {}, place.label || "Job"), make("span", {}, shortened(place.label ? place.text : row[2])));
      made.append(link);
    });
    if (hit.hits.length > MOST_PLACES) made.append(make("p", { "class": "small" }, hit.hits.length - MOST_PLACES + " more in this job"));
    return made;
  }

  function show() {
    if (!index && field.value.trim()) build();
    var typed = index ? Array.from(new Set(cut(field.value))) : [];
    var answer = typed.length ? search(typed) : { found: [], instead: [] };
    var jobs = answer.found.length;
    below.forEach(function (part) { part.hidden = typed.length > 0; });
    list.replaceChildren.apply(list, answer.found.slice(0, MOST_JOBS).map(item));
    var said = jobs === 1 ? "Found in 1 job" : "Found in " + jobs + " jobs";
    if (answer.instead.length && jobs) said += " as “" + answer.instead.slice(0, 3).join("”, “") + "”";
    if (jobs > MOST_JOBS) said += ", the first " + MOST_JOBS + " shown";
    count.textContent = !typed.length ? "" : jobs ? said + "." : "No job has these words.";
  }

  field.addEventListener("input", show);
  show(); // the browser may have kept what was typed
})();
