/** What lies below the first screen is drawn once the first screen stands there. */

const LONGEST_WAIT_ms = 200; // a tab that is not seen paints nothing

/** Whether what was drawn when this was called has been painted; called while a component is set up. */
export function painted(): () => boolean {
  let isPainted = $state(false);
  $effect(() => {
    let later: ReturnType<typeof setTimeout>;
    const done = (): void => void (isPainted = true);
    const frame = requestAnimationFrame(() => {
      clearTimeout(later);
      later = setTimeout(done);
    });
    later = setTimeout(done, LONGEST_WAIT_ms);
    return () => {
      cancelAnimationFrame(frame);
      clearTimeout(later);
    };
  });
  return () => isPainted;
}
