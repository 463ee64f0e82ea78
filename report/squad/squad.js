// Finding and ordering. Without scripts the page shows everybody by code.
const find = document.getElementById("find");
const order = document.getElementById("order");
for (const tool of [find, order]) tool.hidden = false;

function show() {
  const wanted = find.value.trim().toLowerCase();
  for (const group of document.querySelectorAll("[data-group]")) {
    let count = 0;
    for (const row of group.querySelectorAll("li")) {
      row.hidden = !row.textContent.toLowerCase().includes(wanted);
      if (!row.hidden) count++;
    }
    group.hidden = count === 0;
    group.querySelector("[data-count]").textContent = count;
  }
}

function sort() {
  const by = order.value;
  const numeric = by === "trials";
  for (const list of document.querySelectorAll("ul.squad")) {
    const rows = [...list.children];
    rows.sort((a, b) => {
      const [x, y] = [a.dataset[by], b.dataset[by]];
      return numeric ? y - x : x.localeCompare(y) || a.dataset.code.localeCompare(b.dataset.code);
    });
    list.append(...rows);
  }
}

find.addEventListener("input", show);
order.addEventListener("change", sort);
