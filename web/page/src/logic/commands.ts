// Commands to the daemon. Each carries its own id and is tried once more with the same id when the network failed,
// so that it acts once however often it arrives. What came of it is a sentence for the person.
import { make_uuid } from "./ids";

export interface Outcome {
    done: boolean;
    text: string; // empty where nothing needs to be said
    answer?: string; // the daemon's own words, where it did it
}

export interface Sender {
    fetch: (path: string, init: RequestInit) => Promise<Response>;
    random: (bytes: Uint8Array) => Uint8Array;
}

async function words_of(response: Response): Promise<string> {
    try {
        const body = (await response.json()) as { text?: string; detail?: string; title?: string };
        return body.text ?? body.detail ?? body.title ?? "";
    } catch {
        return "";
    }
}

export async function send_command(sender: Sender, path: string, body: Record<string, unknown>): Promise<Outcome> {
    const init: RequestInit = {
        method: "POST",
        headers: { "Content-Type": "application/json", "X-Drumwatch": "1" },
        body: JSON.stringify({ client_id: make_uuid(sender.random), ...body }),
    };
    let response: Response;
    try {
        response = await sender.fetch(path, init).catch(() => sender.fetch(path, init));
    } catch {
        return { done: false, text: "Not sent: the daemon does not answer." };
    }
    const text = await words_of(response);
    if (response.status === 202) return { done: true, text: `Acted, but not recorded. ${text}`.trim() };
    if (response.ok) return { done: true, text: "", answer: text };
    return { done: false, text: `Not done: ${text || `answer ${response.status}`}` };
}
