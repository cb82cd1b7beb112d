// Before the first paint, and a file of its own since the page's policy allows no script within it: the theme kept on
// this device, and what the room that is asked for will read and run, asked for while the app itself is still coming.
(() => {
  try {
    const theme = localStorage.getItem('ringwise.theme');
    if (theme === 'light' || theme === 'dark') document.documentElement.dataset.theme = theme;
  } catch {
    // private windows may refuse; the theme is then the device's
  }

  const path = location.pathname.replace(/(.)\/+$/, '$1');
  const tree = /^\/tree\/([^/]+)(?:\/(pot|futures))?$/.exec(path);
  const room = tree
    ? tree[2] || 'tree'
    : { '/': 'today', '/yard': 'yard', '/start': 'start', '/settings': 'settings', '/weather': 'weather' }[
        path
      ];
  if (!room) return;

  for (const file of document.currentScript.dataset[room]?.split(' ') ?? []) {
    const link = document.createElement('link');
    link.rel = 'modulepreload';
    link.href = file;
    document.head.append(link);
  }

  const reads = {
    today: ['/api/today'],
    yard: ['/api/yard'],
    tree: tree && [`/api/trees/${tree[1]}`, `/api/trees/${tree[1]}/dial`],
    pot: tree && [`/api/trees/${tree[1]}/pot`],
    futures: tree && [`/api/trees/${tree[1]}/turning`],
    start: ['/api/settings'],
    settings: ['/api/settings'],
    weather: ['/api/weather', '/api/calibration'],
  }[room];
  const asked = (window.ringwiseFirst = {});
  for (const address of ['/api/head', ...reads]) {
    asked[address] = read(address);
    asked[address].catch(() => {}); // told where it is read
  }

  async function read(address) {
    const response = await fetch(address, { credentials: 'omit' });
    return { response, body: response.ok ? await response.json() : undefined };
  }
})();
