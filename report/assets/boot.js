// Draws every figure whose options stand in the page. Without scripts the page
// says the same in its tables. On paper nothing can be opened, so all is.
const drawn = [];
for (const figure of document.querySelectorAll("[data-options]")) {
  const source = document.getElementById(figure.dataset.options);
  const chart = echarts.init(figure, null, { renderer: "svg" });
  chart.setOption(JSON.parse(source.textContent));
  drawn.push({ chart, paper: figure.closest(".pair") ? { width: 325, height: 190 } : figure.style.width ? {} : { width: 640 } });
}
addEventListener("resize", () => drawn.forEach(d => d.chart.resize()));
let closed = [];
addEventListener("beforeprint", () => {
  closed = [...document.querySelectorAll("details:not([open])")];
  closed.forEach(d => d.open = true);
  for (const d of drawn) {
    d.chart.resize(d.paper);
    d.chart.getZr().flush(); // drawn at once: the paper does not wait
  }
});
addEventListener("afterprint", () => {
  closed.forEach(d => d.open = false);
  drawn.forEach(d => d.chart.resize());
});
