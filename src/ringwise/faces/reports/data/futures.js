(function () {
  "use strict";
  var slider = document.getElementById("year");
  var output = document.getElementById("year-words");
  var strips = Array.prototype.slice.call(document.querySelectorAll(".strip"));
  if (!slider || !output || strips.length === 0) { return; }
  var words = slider.getAttribute("data-words").split("|");
  var busy = 0;
  document.documentElement.classList.add("scripted");

  // A strip is as tall as the year it shows, so that a short year leaves no empty sheet below it;
  // its right edge is soft as long as later years follow.
  function fit(index) {
    strips.forEach(function (strip) {
      var scrolls = strip.scrollWidth > strip.clientWidth + 1;
      strip.classList.toggle("more", scrolls && index < strip.children.length - 1);
      strip.style.height = scrolls ? (strip.children[index].offsetHeight + 26) + "px" : "";
    });
  }

  function say(index) {
    fit(index);
    output.textContent = words[index];
    slider.setAttribute("aria-valuetext", words[index]);
  }

  function offset(strip, index) {
    return strip.children[index].offsetLeft - strip.children[0].offsetLeft;
  }

  function show(index) {
    busy = Date.now();
    strips.forEach(function (strip) { strip.scrollLeft = offset(strip, index); });
    say(index);
  }

  slider.addEventListener("input", function () { show(Number(slider.value)); });

  strips.forEach(function (strip) {
    strip.addEventListener("scroll", function () {
      if (Date.now() - busy < 400 || strip.scrollWidth <= strip.clientWidth) { return; }
      var nearest = 0;
      for (var i = 1; i < strip.children.length; i += 1) {
        if (Math.abs(offset(strip, i) - strip.scrollLeft) < Math.abs(offset(strip, nearest) - strip.scrollLeft)) {
          nearest = i;
        }
      }
      slider.value = String(nearest);
      say(nearest);
    }, { passive: true });
  });
  window.addEventListener("resize", function () { fit(Number(slider.value)); });
  say(Number(slider.value));
}());
