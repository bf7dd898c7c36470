/** Any key of a remote confirms: cold hands and gloves find none in particular. Pure. */

/** What of a key press is looked at. */
interface KeyPress {
  key: string;
  repeat: boolean;
  ctrlKey: boolean;
  altKey: boolean;
  metaKey: boolean;
  /** Whether the focus is on something that takes keys itself. */
  onControl: boolean;
}

const NOT_A_REMOTE =
  /^(Tab|Escape|Shift|Control|Alt|AltGraph|Meta|CapsLock|NumLock|ScrollLock|Fn|F\d+|Dead|Process|Unidentified|ContextMenu|PrintScreen|Pause|BrowserBack|GoBack|Power|WakeUp|Sleep)$/;

/** Whether a key confirms: any key of a remote or keyboard but those with a job of their own. */
export function keyConfirms(press: KeyPress): boolean {
  if (press.repeat || press.ctrlKey || press.altKey || press.metaKey) return false;
  if (press.onControl) return false;
  return !NOT_A_REMOTE.test(press.key);
}
