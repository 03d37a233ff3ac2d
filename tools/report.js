(function () {
  "use strict";
  var range = document.getElementById("slide");
  if (!range) return;
  var told = JSON.parse(document.getElementById("settings").textContent);
  var groups = Array.prototype.slice.call(document.querySelectorAll("svg .setting"));
  var figures = Array.prototype.slice.call(document.querySelectorAll("[data-figure]"));
  var rides = Array.prototype.slice.call(document.querySelectorAll("[data-told]"));
  var names = Array.prototype.slice.call(document.querySelectorAll("[data-setting]"));
  function show() {
    var i = Number(range.value), text = told.text[i];
    groups.forEach(function (g) { g.classList.toggle("on", i !== told.now && Number(g.dataset.i) === i + 1); });
    figures.forEach(function (e) { e.textContent = told.figure[i][e.dataset.figure]; });
    rides.forEach(function (e) { e.textContent = told.ride[i][e.dataset.told]; });
    names.forEach(function (e) { e.textContent = told.brief[i]; });
    document.getElementById("slide-text").textContent = text;
    range.setAttribute("aria-valuetext", text);
  }
  document.getElementById("slider").hidden = false;
  range.addEventListener("input", show);
  range.addEventListener("change", show);
  show();
}());
