// Keeps the screen on while the page is seen. Browsers allow it to secure pages only; elsewhere the tablet's own
// settings must do it, and the page says so quietly. Returns the note, empty when the screen will stay on.
export const kSleepNote = "This screen may go dark: keep it on in the tablet's own settings.";

export async function keep_screen_on(): Promise<string> {
    if (!window.isSecureContext || !("wakeLock" in navigator)) return kSleepNote;
    try {
        await navigator.wakeLock.request("screen");
        return "";
    } catch {
        return kSleepNote;
    }
}
