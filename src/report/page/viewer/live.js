// News from `watch`: what is new is asked for and put in its place.

/** Asks this page's own server; null where it does not answer. */
const asked = async (path) => {
  try {
    const answer = await fetch(path, { cache: "no-store" });
    return answer.ok ? answer : null;
  } catch {
    return null;
  }
};

/** Puts sections in their places; what was unfolded stays so. */
export const placeSections = (sections) => {
  Object.entries(sections).forEach(([id, html]) => {
    const place = document.getElementById(`${id}-body`) ?? document.getElementById(id);
    if (!place) return;
    const open = [...place.querySelectorAll("details[open] > summary h3")].map((h) => h.textContent);
    place.innerHTML = html;
    place.querySelectorAll("details.group").forEach((group) => {
      if (open.includes(group.querySelector("h3")?.textContent)) group.open = true;
    });
  });
};

/** Follows the news; `show` takes a scene, `renewed` is called after new sections. */
export const follow = (show, renewed) => {
  const live = document.getElementById("live");
  const tell = (html, stale) => {
    live.innerHTML = html;
    live.hidden = html === "";
    document.body.classList.toggle("stale", stale);
  };
  const events = new EventSource("/news");
  const on = (name, act) => events.addEventListener(name, (event) => act(event.data));
  on("picture", async () => {
    const answer = await asked("/scene");
    if (!answer) return;
    await show(await answer.json());
    document.body.dataset.picture = answer.headers.get("x-version");
    tell("", false);
  });
  on("sections", async () => {
    const answer = await asked("/sections");
    if (!answer) return;
    placeSections(await answer.json());
    document.body.dataset.sections = answer.headers.get("x-version");
    renewed();
  });
  on("faults", async () => {
    const answer = await asked("/faults");
    if (answer) tell(await answer.text(), true);
  });
  on("measuring", () => document.body.classList.add("measuring"));
  on("measured", () => document.body.classList.remove("measuring"));
  // An answer that comes late is asked for again by the browser itself.
  events.onopen = () => tell("", false);
  events.onerror = () => tell("<p>The program that makes this page has ended or does not answer.</p>", true);
};
