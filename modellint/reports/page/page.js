"use strict";
(function () {
  var stages = ["permit", "issue", "pour", "cover", "close"];
  var cards = Array.prototype.slice.call(document.querySelectorAll("article.card"));
  var dueList = document.getElementById("due"), laterList = document.getElementById("later");
  var laterHead = document.getElementById("later-head"), count = document.getElementById("count");
  var form = document.getElementById("chooser");
  var selects = Array.prototype.slice.call(form.querySelectorAll("select"));
  var order = {fail: 0, open: 1, accepted: 2};

  function chosen() { return form.querySelector("input[name=stage]:checked").value; }
  function rank(card) { var k = stages.indexOf(card.dataset.stage); return k < 0 ? 0 : k; }

  function sort() {
    var stage = chosen(), limit = stage === "all" ? stages.length : stages.indexOf(stage);
    var sorted = cards.slice().sort(function (a, b) {
      if (stage === "all") return a.dataset.number - b.dataset.number;
      return rank(a) - rank(b) || order[a.dataset.outcome] - order[b.dataset.outcome] || a.dataset.number - b.dataset.number;
    });
    sorted.forEach(function (card) {
      var own = rank(card), when = card.querySelector(".when");
      (own <= limit ? dueList : laterList).appendChild(card);
      when.textContent = stage === "all" ? "" : own < limit ? "late: its cheap moment is past" : own === limit ? "due now" : "later";
      when.hidden = stage === "all";
    });
    show();
  }

  function show() {
    var seen = 0, later = 0;
    cards.forEach(function (card) {
      var fits = selects.every(function (select) {
        return !select.value || (card.dataset[select.name] || "").split("|").indexOf(select.value) >= 0;
      });
      card.hidden = !fits;
      if (fits) { seen += 1; if (card.parentNode === laterList) later += 1; }
      document.querySelectorAll('a[href="#' + card.id + '"].mark').forEach(function (mark) {
        mark.classList.toggle("off", !fits);
      });
    });
    laterHead.hidden = later === 0;
    count.textContent = "Showing " + seen + " of " + cards.length + (cards.length === 1 ? " card" : " cards") + (later ? ", " + later + " of them later" : "") + ".";
  }

  function go(target) {
    if (target.closest("[hidden]")) { selects.forEach(function (select) { select.value = ""; }); show(); }
    document.querySelectorAll(".here").forEach(function (old) { old.classList.remove("here"); });
    target.classList.add("here");
    target.scrollIntoView({block: target.matches("article") ? "start" : "center", inline: "center"});
    target.focus({preventScroll: true});
  }

  form.addEventListener("change", function (event) { if (event.target.name === "stage") sort(); else show(); });
  form.addEventListener("submit", function (event) { event.preventDefault(); });
  document.getElementById("reset").addEventListener("click", function () {
    selects.forEach(function (select) { select.value = ""; });
    show();
  });
  document.addEventListener("click", function (event) {
    var link = event.target.closest ? event.target.closest("a[href^='#f-'],a[href^='#m-']") : null;
    var target = link && document.getElementById(link.getAttribute("href").slice(1));
    if (!target) return;
    event.preventDefault();
    history.replaceState(null, "", "#" + target.id);
    go(target);
  });
  var opened = [];
  window.addEventListener("beforeprint", function () {
    document.querySelectorAll("details:not([open])").forEach(function (row) { row.open = true; opened.push(row); });
  });
  window.addEventListener("afterprint", function () { opened.forEach(function (row) { row.open = false; }); opened = []; });
  form.hidden = false;
  sort();
})();
