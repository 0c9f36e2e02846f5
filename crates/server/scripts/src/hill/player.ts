/** A slider over pictures, a button that plays them, and the field that is typed without either. */

export interface Pictures {
  readonly count: number;
  /** What the slider is called, and what its button says. */
  readonly name: string;
  readonly play: string;
  /** The picture of what was typed, and what to type for a picture. */
  find(typed: number): number;
  typed(picture: number): string;
  /** What a reader aloud says of a picture while it passes. */
  spoken(typed: string): string;
  /** Puts what is to be said of a picture that stays into the page. */
  say(picture: number): void;
  draw(picture: number): void;
  /** The picture that stands so many seconds of playing after another one. */
  after(picture: number, seconds: number): number;
}

export interface Player {
  picture(): number;
  show(picture: number): void;
}

/** Puts slider and button on the page; nothing where the page has no form for them. */
export function player(section: HTMLElement, pictures: Pictures): Player | undefined {
  const form = section.querySelector<HTMLFormElement>("form.run");
  const field = form?.querySelector<HTMLInputElement>("input.at");
  if (!form || !field) return undefined;
  const last = pictures.count - 1;
  const slider = document.createElement("input");
  slider.type = "range";
  slider.min = "0";
  slider.max = String(last);
  slider.value = String(pictures.find(Number(field.value)));
  slider.setAttribute("aria-label", pictures.name);
  const play = document.createElement("button");
  play.type = "button";
  play.textContent = pictures.play;
  form.before(slider);
  form.append(play);

  let asked = false;
  const draw = (): void => {
    asked = false;
    const picture = Number(slider.value);
    pictures.draw(picture);
    field.value = pictures.typed(picture);
    slider.setAttribute("aria-valuetext", pictures.spoken(field.value));
  };
  const ask = (): void => {
    if (asked) return;
    asked = true;
    requestAnimationFrame(draw);
  };
  const say = (): void => pictures.say(Number(slider.value));
  slider.addEventListener("input", ask);
  window.addEventListener("resize", ask);
  // Said once the slider rests, not at every step: a reader aloud would never come to an end.
  slider.addEventListener("change", say);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    event.stopPropagation();
    show(pictures.find(Number(field.value)));
  });

  let playing = 0;
  const stop = (): void => {
    cancelAnimationFrame(playing);
    playing = 0;
    play.textContent = pictures.play;
    say();
  };
  play.addEventListener("click", () => {
    if (playing !== 0) return stop();
    play.textContent = "Stop";
    let place = Number(slider.value) >= last ? 0 : Number(slider.value);
    let before = performance.now();
    const each = (now: number): void => {
      place = pictures.after(place, (now - before) / 1000);
      before = now;
      slider.value = String(Math.min(last, Math.floor(place)));
      draw();
      if (place >= last) stop();
      else playing = requestAnimationFrame(each);
    };
    playing = requestAnimationFrame(each);
  });
  const show = (picture: number): void => {
    if (playing !== 0) stop();
    slider.value = String(picture);
    draw();
    say();
  };
  return { picture: () => Number(slider.value), show };
}
