// What is cut, spilt, covered, too small or off the screen; and the places of what a thumb may be on.
// Given to the page as a whole; the tests call `slots.wrong()`, `slots.places()` and `slots.walk()`.
window.slots = (() => {
  const seen = e => e.checkVisibility({ visibilityProperty: true, opacityProperty: true }) && e.getBoundingClientRect().width > 1;
  const called = e => (e.getAttribute('aria-label') || e.innerText || e.className || e.tagName).trim().replace(/\s+/g, ' ').slice(0, 60);
  const root = () => document.querySelector('dialog[open]') || document.querySelector('main');
  const targets = () => [...root().querySelectorAll('button, a.btn, input, select, textarea, summary')].filter(seen);
  const beyond = (inner, outer) => inner.left < outer.left - 0.6 || inner.right > outer.right + 0.6 ||
    inner.top < outer.top - 0.6 || inner.bottom > outer.bottom + 0.6;
  // The nearest thing around it that scrolls now, if any.
  const scroller = e => {
    for (let around = e.parentElement; around && around !== document.documentElement; around = around.parentElement) {
      const how = getComputedStyle(around).overflowY;
      if ((how === 'auto' || how === 'scroll') && around.scrollHeight > around.clientHeight + 1) return around;
    }
    const page = document.scrollingElement;
    return page.scrollHeight > innerHeight + 1 ? page : null;
  };
  // Where its words stand, those apart that are only for the ear.
  const lines = e => {
    const walk = document.createTreeWalker(e, NodeFilter.SHOW_TEXT, node =>
      node.parentElement.closest('.unseen') ? NodeFilter.FILTER_REJECT : NodeFilter.FILTER_ACCEPT);
    const found = [];
    while (walk.nextNode()) {
      const range = document.createRange();
      range.selectNodeContents(walk.currentNode);
      found.push(...range.getClientRects());
    }
    return found;
  };
  const wrong = () => {
    const bad = [];
    const screen = { left: 0, top: 0, right: innerWidth, bottom: innerHeight };
    const all = targets();
    for (const e of all) {
      const box = e.getBoundingClientRect();
      const name = called(e);
      if (box.width < 47.5 || box.height < 47.5) bad.push(`${name} is ${box.width.toFixed(1)} by ${box.height.toFixed(1)}`);
      const inside = scroller(e);
      if (beyond(box, inside ? { ...screen, top: -1e5, bottom: 1e5 } : screen)) bad.push(`${name} leaves the screen`);
      if (e.closest('.lanes, .confirm, .question') && !e.closest('dialog') && inside && inside !== document.scrollingElement) bad.push(`${name} has to be scrolled to`);
      if (lines(e).some(line => line.width > 1.5 && line.height > 1.5 && beyond(line, box))) bad.push(`the words of ${name} spill`);
    }
    all.forEach((one, at) => all.slice(at + 1).forEach(other => {
      if (scroller(one) !== scroller(other)) return;
      const a = one.getBoundingClientRect(), b = other.getBoundingClientRect();
      const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
      const down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
      if (across > 1 && down > 1) bad.push(`${called(one)} overlaps ${called(other)}`);
    }));
    for (const e of root().querySelectorAll('*')) {
      if (!seen(e) || e.closest('svg, .unseen')) continue;
      const style = getComputedStyle(e);
      if (style.overflowX !== 'hidden' && style.overflowY !== 'hidden') continue;
      // A long name of a person gives way where there is no room for it.
      if (innerWidth < 700 && e.matches('.name, .due-in > *')) continue;
      if (e.scrollWidth > e.clientWidth + 1 || e.scrollHeight > e.clientHeight + 1) bad.push(`${called(e)} is cut (${e.className})`);
    }
    if (document.documentElement.scrollWidth > innerWidth + 1) bad.push('the page is wider than the screen');
    return [...new Set(bad)];
  };
  const places = () => {
    const at = {};
    const add = (key, e) => {
      const box = e.getBoundingClientRect();
      at[key] = [box.left, box.top, box.width, box.height].map(n => Math.round(n * 10) / 10).join(' ');
    };
    document.querySelectorAll('.calling .lane').forEach((lane, n) => add(`lane ${n}`, lane));
    document.querySelectorAll('.calling .confirm > *').forEach((button, n) => add(`bottom ${n}`, button));
    return at;
  };
  const buttons = () => {
    const at = {};
    document.querySelectorAll('.calling .lane').forEach((lane, n) => lane.querySelectorAll('button').forEach((button, m) => {
      const box = button.getBoundingClientRect();
      at[`lane ${n} button ${m}`] = [box.left, box.top, box.width, box.height].map(x => Math.round(x * 10) / 10).join(' ');
    }));
    return { ...at, ...places() };
  };
  const drawn = () => new Promise(done => requestAnimationFrame(() => setTimeout(done)));
  const moved = (before, now, after) => Object.keys({ ...before, ...now })
    .filter(key => before[key] !== now[key]).map(key => `${key} moved from ${before[key]} to ${now[key]} ${after}`);
  // Taps every button of every lane, from the batter up, and looks at everything after each tap.
  const walk = async () => {
    const bad = [];
    const before = buttons();
    const taps = [...document.querySelectorAll('.calling .lane')].reverse()
      .flatMap(lane => [...lane.querySelectorAll('.row button, .calls button')]);
    let said = 0;
    for (const button of taps) {
      if (button.disabled) continue;
      button.click();
      await drawn();
      const after = `after "${called(button)}"`;
      bad.push(...moved(before, buttons(), after), ...wrong().map(what => `${what} ${after}`));
      said += document.querySelectorAll('.refusal, .question').length;
      if (document.querySelector('dialog[open]')) bad.push(`a sheet rose ${after}`);
    }
    return { bad: [...new Set(bad)], taps: taps.length, said };
  };
  return { wrong, places, walk };
})();
