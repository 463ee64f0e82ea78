// Draws every figure whose options stand in the page. Without scripts the page
// says the same in its tables.
for (const figure of document.querySelectorAll("[data-options]")) {
  const source = document.getElementById(figure.dataset.options);
  const drawn = echarts.init(figure, null, { renderer: "svg" });
  drawn.setOption(JSON.parse(source.textContent));
  addEventListener("resize", () => drawn.resize());
  addEventListener("beforeprint", () => drawn.resize({ width: 640 }));
  addEventListener("afterprint", () => drawn.resize());
}
