// Draws a tile form's faces to scale while its sizes and zones are typed. The form works without it.

const SVG = "http://www.w3.org/2000/svg";
const form = document.querySelector("[data-tile-form]");
const holder = document.querySelector("[data-tile-form-drawing]");

const figure = (input) => Number.parseFloat((input?.value ?? "").replace(",", ".")) || 0;
const element = (name, attributes) => {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
};

function zones() {
  return [...form.querySelectorAll("[data-zone-row]")]
    .map((row) => {
      const field = (name) => row.querySelector(`[name$="-${name}"]`);
      return {
        name: field("name").value,
        face: field("face").value,
        gone: field("DELETE")?.checked,
        textured: field("textured").checked,
        x: figure(field("x_mm")),
        y: figure(field("y_mm")),
        width: figure(field("width_mm")),
        height: figure(field("height_mm")),
      };
    })
    .filter((zone) => !zone.gone && zone.name && zone.width > 0 && zone.height > 0);
}

function face(side, width, height) {
  const svg = element("svg", { viewBox: `-1 -1 ${width + 2} ${height + 2}`, role: "img", "aria-label": side });
  svg.append(element("rect", { class: "face-clay", width, height, rx: 2.5 }));
  for (const zone of zones().filter((each) => each.face === side)) {
    const { x, y, width: across, height: down } = zone;
    const kind = zone.textured ? "face-zone face-zone--textured" : "face-zone";
    svg.append(element("rect", { class: kind, x, y, width: across, height: down }));
    const name = element("text", { class: "face-name", x, y, dx: 2, dy: 6.5 });
    name.textContent = zone.name;
    svg.append(name);
  }
  const drawn = document.createElement("figure");
  drawn.className = "face";
  const words = document.createElement("figcaption");
  words.textContent = side;
  drawn.append(svg, words);
  return drawn;
}

function draw() {
  const width = figure(form.elements.width_mm);
  const height = figure(form.elements.height_mm);
  holder.hidden = width <= 0 || height <= 0;
  if (!holder.hidden) holder.replaceChildren(face("front", width, height), face("back", width, height));
}

if (form && holder) {
  form.addEventListener("input", draw);
  form.addEventListener("change", draw);
  draw();
}
