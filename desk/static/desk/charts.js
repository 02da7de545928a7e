"use strict";
// Draws every chart of the page from the definition the server put beside it. Colours are the page's own
// variables, so light, dark and print need no second drawing.
(() => {
  const draw = (figure) => {
    const spec = JSON.parse(document.getElementById(figure.dataset.chart).textContent);
    const page = getComputedStyle(document.documentElement);
    spec.config = { ...spec.config, font: page.getPropertyValue("--sans").trim() };
    const place = figure.querySelector(".drawing");
    return vegaEmbed(place, spec, {
      ast: true,
      renderer: "svg",
      actions: false,
      defaultStyle: false,
      tooltip: { disableDefaultStyle: true },
    }).catch(() => figure.classList.add("undrawn"));
  };
  const drawAll = (part) =>
    Promise.all([...part.querySelectorAll("figure[data-chart]")].map(draw)).then(() => {
      document.documentElement.dataset.drawn = "yes";
    });
  drawAll(document);
  document.addEventListener("htmx:afterSwap", (event) => drawAll(event.detail.target.parentElement || document));
})();
