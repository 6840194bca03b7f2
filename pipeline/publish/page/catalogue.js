// Runs in the reader's browser, from disk, with no network. Text goes in by textContent only.
(() => {
  const catalogue = JSON.parse(document.getElementById('catalogue').textContent);
  const items = new Map(catalogue.items.map((item) => [item.sku, item]));
  const cards = [...document.querySelectorAll('[data-sku]')];
  const inputs = [...document.querySelectorAll('.filters input')];
  const clear = document.querySelector('.clear');
  const found = document.querySelector('.found');
  const dialog = document.querySelector('dialog');
  const url = (file) => file.split('/').map(encodeURIComponent).join('/');

  // ---- filters: within an axis any value, across axes all

  const chosen = () => {
    const axes = new Map();
    for (const input of inputs.filter((i) => i.checked)) {
      if (!axes.has(input.name)) axes.set(input.name, new Set());
      axes.get(input.name).add(input.value);
    }
    return axes;
  };
  const matches = (item, axes) =>
    [...axes].every(([axis, values]) => item.bands.some((band) => values.has(band.axes[axis])));

  function applyFilters() {
    const axes = chosen();
    let shown = 0;
    for (const card of cards) {
      card.hidden = !matches(items.get(card.dataset.sku), axes);
      if (!card.hidden) shown++;
    }
    for (const section of document.querySelectorAll('section[data-kind]')) {
      section.hidden = !section.querySelector('[data-sku]:not([hidden])');
    }
    for (const input of inputs) {
      const others = new Map(axes);
      others.set(input.name, new Set([input.value]));
      const count = catalogue.items.filter((item) => matches(item, others)).length;
      input.parentElement.querySelector('small').textContent = count;
      input.parentElement.classList.toggle('empty', count === 0);
    }
    if (clear) clear.hidden = axes.size === 0;
    found.textContent =
      shown === 0
        ? 'Nothing fits all of these. Take one away.'
        : axes.size > 0
          ? `${shown} of ${cards.length} shown`
          : '';
  }
  for (const input of inputs) input.addEventListener('change', applyFilters);
  clear?.addEventListener('click', () => {
    for (const input of inputs) input.checked = false;
    applyFilters();
  });
  const filters = document.querySelector('.filters');
  const wide = window.matchMedia('(min-width: 60rem)');
  const fold = () => {
    if (filters) filters.open = wide.matches;
  };
  wide.addEventListener('change', fold);
  fold();

  // ---- one item

  const make = (tag, attributes = {}, ...children) => {
    const element = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
    element.append(...children.filter((child) => child !== undefined && child !== ''));
    return element;
  };
  const mm = (value, digits = 2) => `${Number(value.toFixed(digits))} mm`;
  const grams = (value) => `approx. ${value.toFixed(2)} g`;
  const carats = (value) => (value < 0.005 ? 'less than 0.01 ct' : `approx. ${value.toFixed(2)} ct`);
  const rowOf = (head, value, note) =>
    make(
      'tr',
      {},
      make('th', { scope: 'row' }, head),
      make('td', {}, value, note ? make('small', {}, note) : ''),
    );
  const trueSize = (item) =>
    item.bands.map((b) => `${mm(b.widthMm)} wide, ${mm(b.innerDiameterMm)} inside`).join('; ');

  function figure(item, shot, index) {
    const pictures = shot.pictures.filter((p) => p.role === 'picture');
    const format = pictures[0].format;
    const files = pictures.filter((p) => p.format === format).sort((a, b) => a.width - b.width);
    const largest = files[files.length - 1];
    const img = make('img', {
      src: url(largest.file),
      srcset: files.map((p) => `${url(p.file)} ${p.width}w`).join(', '),
      sizes: '(min-width: 60rem) 58vw, 100vw',
      width: largest.width,
      height: largest.height,
      alt: shot.alt ?? `${item.title}, ${shot.label}`,
      loading: index === 0 ? 'eager' : 'lazy',
    });
    const link = make('a', { href: url(largest.file) }, img);
    const caption = make('figcaption', {}, `${shot.label}. Shown larger than life: ${trueSize(item)}.`);
    return make('figure', {}, link, shot.turn ? turner(item, shot, link, img) : '', caption);
  }

  /** A slider through the frames of a turntable, which follow the first in the item's shots. */
  function turner(item, first, link, img) {
    const at = item.shots.indexOf(first);
    const frames = item.shots.slice(at, at + first.turn.of).map((s) => {
      const files = s.pictures.filter((p) => p.role === 'picture' && p.format === s.pictures[0].format);
      return files.sort((a, b) => b.width - a.width)[0];
    });
    const slider = make('input', {
      type: 'range',
      min: 1,
      max: frames.length,
      value: 1,
      'aria-label': 'Turn the band',
    });
    slider.addEventListener('input', () => {
      const file = frames[slider.value - 1];
      img.removeAttribute('srcset');
      img.src = url(file.file);
      link.href = url(file.file);
    });
    // arrows turn the band and don't leave for the next item
    slider.addEventListener('keydown', (event) => event.stopPropagation());
    return slider;
  }

  /** Of a turntable only the first frame stands for itself. */
  function shownShots(item) {
    return item.shots.filter((s) => !s.turn || s.turn.frame === 1);
  }

  function facts(band) {
    const body = make(
      'tbody',
      {},
      rowOf('Inner diameter', mm(band.innerDiameterMm)),
      rowOf('Circumference', mm(band.circumferenceMm)),
      rowOf('Width', mm(band.widthMm)),
      rowOf('Thickness', mm(band.thicknessMm)),
    );
    const sizes = band.sizes.map((s) =>
      make('tr', {}, make('th', { scope: 'row' }, s.label), make('td', {}, s.text)),
    );
    const metals = band.metals.map((m) => rowOf(m.name, grams(m.massG), m.lanes.join(', ')));
    if (band.metals.length > 1) metals.push(rowOf('All metal', grams(band.metalMassG)));
    const stones = band.rows.map((r) =>
      rowOf(
        r.label,
        carats(r.carats),
        `${r.count} × ${r.cut.replaceAll('-', ' ')}, ${r.lengthMm ? `${mm(r.lengthMm)} by ` : ''}${mm(r.diameterMm)}`,
      ),
    );
    if (band.rows.length > 1)
      stones.push(rowOf('All stones', carats(band.totalCarats), `${band.stoneCount} in all`));
    const along = (name) => (name === 'edge' ? 'along an edge' : `along seam ${name}`);
    const { engravings = [], milgrain = [], grooves = [] } = band.marks ?? {};
    const marks = [
      ...engravings.map((e) => rowOf(`Engraved ${e.side}`, `“${e.text}”`, `${mm(e.heightMm)} high`)),
      ...milgrain.map((m) => rowOf('Milgrain', `${m.count} beads`, `${mm(m.beadMm)}, ${along(m.along)}`)),
      ...grooves.map((g) => rowOf('Groove', mm(g.widthMm), along(g.along))),
    ];
    const section = (title, rows) =>
      rows.length > 0 ? [make('h3', {}, title), make('table', {}, make('tbody', {}, ...rows))] : [];
    return [
      make('h3', {}, 'Measures'),
      make('table', {}, body),
      ...section('Sizes', sizes),
      ...section('Metal', metals),
      ...section('Stones, total weight', stones),
      ...section('Letters, beads and grooves', marks),
      ...checks(band),
      band.model
        ? make(
            'a',
            { class: 'take', href: url(band.model.file), download: '' },
            `3D model (GLB), ${band.model.variant}`,
          )
        : '',
    ];
  }

  function checks(band) {
    if (band.checks.length === 0) return [];
    const passed = band.checks.filter((c) => c.passed).length;
    const list = band.checks.map((c) =>
      make(
        'li',
        c.passed ? {} : { class: 'failed' },
        `${c.rule.replaceAll('-', ' ')}: ${c.measured}`,
        make(
          'small',
          {},
          `${c.passed ? 'passed' : c.waived ? `not passed, waived: ${c.waived}` : 'not passed'}; limit ${c.limit}; ${c.place} (${c.source})`,
        ),
      ),
    );
    const details = make('details', { class: 'checks' });
    details.append(make('summary', {}, `${passed} of ${band.checks.length} passed`), make('ul', {}, ...list));
    details.open = passed < band.checks.length;
    return [make('h3', {}, 'Bench checks'), details];
  }

  let opener;
  const visible = () => cards.filter((card) => !card.hidden).map((card) => card.dataset.sku);

  function show(sku) {
    const item = items.get(sku);
    const order = visible().includes(sku) ? visible() : [...items.keys()];
    const at = order.indexOf(sku);
    const button = (label, sign, target) => {
      const b = make('button', { type: 'button', 'aria-label': label, title: label }, sign);
      b.disabled = target === undefined;
      b.addEventListener('click', () => go(target));
      return b;
    };
    const close = make('button', { type: 'button', 'aria-label': 'Close', title: 'Close' }, '✕');
    close.addEventListener('click', () => dialog.close());
    const column = make(
      'div',
      { class: 'facts' },
      make('h2', { id: 'item-title' }, item.title),
      make('p', { class: 'sku' }, item.sku),
    );
    item.bands.forEach((band, i) => {
      if (item.bands.length > 1) {
        const labels = Object.values(band.axes).join(', ');
        column.append(
          make('h3', { class: 'band' }, `${i === 0 ? 'First' : 'Second'} band${labels ? `: ${labels}` : ''}`),
        );
      }
      column.append(...facts(band).filter((part) => part !== ''));
    });
    const noise = shownShots(item).map(
      (s) => `${s.label} ${(100 * s.noise.reached).toFixed(1)} % in ${s.noise.passes} passes`,
    );
    column.append(
      make(
        'ul',
        { class: 'notes' },
        ...item.cautions.map((c) => make('li', {}, c)),
        make(
          'li',
          {},
          'Computer renderings. Stone weights and masses approximate. Check with the bench before making.',
        ),
        make('li', {}, `Picture noise: ${noise.join('; ')}.`),
      ),
    );
    dialog.replaceChildren(
      make(
        'div',
        { class: 'bar' },
        make('span', {}, `${at + 1} of ${order.length}, ${item.title}`),
        button('Previous', '‹', order[at - 1]),
        button('Next', '›', order[at + 1]),
        close,
      ),
      make(
        'div',
        { class: 'item' },
        make('div', {}, ...shownShots(item).map((s, i) => figure(item, s, i))),
        column,
      ),
    );
    dialog.setAttribute('aria-labelledby', 'item-title');
    if (!dialog.open) {
      opener = document.activeElement;
      dialog.showModal();
      document.documentElement.style.overflow = 'hidden';
    }
    dialog.focus();
    dialog.scrollTop = 0;
  }

  function go(sku) {
    if (sku !== undefined) location.hash = encodeURIComponent(sku);
  }
  function follow() {
    const sku = decodeURIComponent(location.hash.slice(1));
    if (items.has(sku)) show(sku);
    else if (dialog.open) dialog.close();
  }
  for (const card of cards) {
    card.querySelector('a').addEventListener('click', (event) => {
      if (event.metaKey || event.ctrlKey || event.shiftKey) return;
      event.preventDefault();
      go(card.dataset.sku);
    });
  }
  dialog.addEventListener('close', () => {
    document.documentElement.style.overflow = '';
    if (location.hash) history.replaceState(null, '', location.pathname + location.search);
    opener?.focus?.();
  });
  dialog.addEventListener('keydown', (event) => {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    const step = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    if (!step) return;
    const order = visible();
    go(order[order.indexOf(decodeURIComponent(location.hash.slice(1))) + step]);
  });
  window.addEventListener('hashchange', follow);
  applyFilters();
  follow();
})();
