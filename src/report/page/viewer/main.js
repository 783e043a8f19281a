// Ties the page's controls to the view.
import { Renderer } from "./renderer.js";
import { Viewer } from "./viewer.js";
import { listen } from "./pointer.js";
import { follow } from "./live.js";
import { areaTold, lengthTold, placeTold } from "./lengths.js";

const FORMS = {
  finished: "finished part",
  casting: "casting",
  pattern: "pattern",
  core: "core",
  "core-box": "core box",
  "trial-print": "trial print",
};

const byId = (id) => document.getElementById(id);

const element = (kind, text, attributes = {}) => {
  const made = document.createElement(kind);
  made.textContent = text;
  Object.entries(attributes).forEach(([name, value]) => made.setAttribute(name, value));
  return made;
};

/** The findings that name a face: their lines on the page. */
const findingsOn = (name) =>
  [...document.querySelectorAll("#findings .finding")].filter((finding) => {
    const look = finding.querySelector("[data-look]");
    return look && JSON.parse(look.dataset.look).faces.includes(name);
  });

/** Tells of a picked face: its name, kind, size, and what was found on it. */
const tellPicked = (viewer, face, hit) => {
  const panel = byId("picked");
  panel.replaceChildren();
  if (!face) return;
  const scale = viewer.form.scale ? ` Sizes are those before contraction.` : "";
  const [place, area] = [placeTold(hit.place, viewer.unit), areaTold(face.area, viewer.unit)];
  panel.append(
    element("p", face.name.replaceAll("_", " ")),
    element("p", `${face.kind}${face.size ? `, ${face.size}` : ""}; ${face.machined ? "machined" : "as cast"}; about ${area}`),
    element("p", `at ${place}.${face.undrawn ? " Cannot be drawn from the sand." : ""}${scale}`),
  );
  const list = element("ul", "");
  findingsOn(face.name).forEach((finding) => {
    const item = element("li", "");
    const to = element("button", finding.querySelector("b").textContent, { type: "button" });
    to.addEventListener("click", () => reveal(finding));
    item.append(to);
    list.append(item);
  });
  if (list.children.length > 0) panel.append(list);
};

/** Unfolds a finding and all about it, and brings it into sight. */
const reveal = (finding) => {
  finding.closest(".group").open = true;
  finding.open = true;
  mark(finding);
  finding.scrollIntoView({ block: "center" });
  finding.querySelector("summary").focus({ preventScroll: true });
};

const mark = (finding) => {
  document.querySelectorAll(".chosen").forEach((old) => old.classList.remove("chosen"));
  finding?.classList.add("chosen");
};

const drawLegend = (viewer) => {
  const line = ([[r, g, b], words]) => {
    const entry = element("span", "");
    const swatch = element("i", "");
    swatch.style.background = `rgb(${r} ${g} ${b})`;
    entry.append(swatch, words);
    return entry;
  };
  byId("legend").replaceChildren(...viewer.legend().map(line));
};

/** Brings the controls in line with what is shown. */
const controlsOf = (viewer) => {
  const select = byId("form");
  select.replaceChildren(...viewer.forms.map(({ name }) => element("option", FORMS[name] ?? name, { value: name })));
  select.value = viewer.form.name;
  [...byId("mode").options].forEach((option) => {
    option.disabled = !viewer.modes().includes(option.value);
    if (option.value === "deviation") option.hidden = option.disabled;
  });
  byId("mode").value = viewer.mode;
  byId("explode").disabled = !viewer.canExplode();
  drawLegend(viewer);
};

const sectionFrom = () => {
  const axis = byId("axis").value;
  const off = axis === "";
  byId("cut").disabled = off;
  byId("flip").disabled = off;
  return off ? null : { axis: Number(axis), share: Number(byId("cut").value) / 1000, other: byId("flip").checked };
};

const bind = (viewer) => {
  byId("form").addEventListener("change", (event) => {
    viewer.setForm(event.target.value);
    viewer.home();
  });
  byId("mode").addEventListener("change", (event) => viewer.setMode(event.target.value));
  byId("edges").addEventListener("change", (event) => viewer.setEdges(event.target.checked));
  byId("home").addEventListener("click", () => viewer.home());
  byId("explode").addEventListener("input", (event) => viewer.setApart(Number(event.target.value) / 100));
  ["axis", "cut", "flip"].forEach((id) =>
    byId(id).addEventListener("input", () => {
      viewer.setSection(sectionFrom());
      byId("cut-at").textContent = viewer.plane ? lengthTold(viewer.plane.at, 1, viewer.unit) : "";
    }),
  );
  byId("help-button").addEventListener("click", (event) => {
    const help = byId("help");
    help.hidden = !help.hidden;
    event.target.setAttribute("aria-expanded", String(!help.hidden));
  });
  document.addEventListener("click", (event) => {
    const fly = event.target.closest?.("[data-look]");
    if (!fly) return;
    viewer.lookAt(JSON.parse(fly.dataset.look));
    mark(fly.closest(".finding"));
    byId("view").scrollIntoView({ block: "nearest" });
  });
  listen(byId("canvas"), viewer);
};

/** What the view tells of itself. */
const listener = (canvas, marker) => {
  const told = {
    shown: () => controlsOf(told.viewer),
    picked: (face, hit) => tellPicked(told.viewer, face, hit),
    drawn: (place) => {
      marker.hidden = place === null;
      if (place) {
        marker.style.left = `${50 + 50 * place[0]}%`;
        marker.style.top = `${50 - 50 * place[1]}%`;
      }
      const { yaw, pitch, target, height } = told.viewer.camera;
      canvas.dataset.camera = JSON.stringify([yaw, pitch, ...target, height].map((x) => Number(x.toFixed(3))));
    },
  };
  return told;
};

const start = async () => {
  // Findings and figures of fits and driveline do not print folded, and are folded again afterwards. What passes, parameters and sheets
  // stay as the reader has them: they would make dozens of pages.
  let folded = [];
  addEventListener("beforeprint", () => {
    folded = [...document.querySelectorAll("#findings .finding:not([open]), #fits details:not([open])")];
    folded.forEach((d) => (d.open = true));
  });
  addEventListener("afterprint", () => folded.forEach((d) => (d.open = false)));
  const canvas = byId("canvas");
  const renderer = Renderer.make(canvas);
  const marker = element("div", "", { id: "marker", "aria-hidden": "true", hidden: "" });
  canvas.after(marker);
  const live = document.body.dataset.mode === "live";
  if (!renderer) {
    canvas.hidden = true;
    byId("nogl").hidden = false;
    if (live) follow(async () => {}, () => {});
    return;
  }
  const told = listener(canvas, marker);
  const viewer = new Viewer(canvas, renderer, told);
  told.viewer = viewer;
  bind(viewer);
  if (live) follow((scene) => viewer.show(scene), () => mark(null));
  else await viewer.show(JSON.parse(byId("scene").textContent));
  document.body.dataset.ready = "yes";
};

await start();
