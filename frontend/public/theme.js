// Before the first paint, and a file of its own since the page's policy allows no script within it.
try {
  const theme = localStorage.getItem('ringwise.theme');
  if (theme === 'light' || theme === 'dark') document.documentElement.dataset.theme = theme;
} catch {
  // private windows may refuse; the theme is then the device's
}
