// A sheet over the page: a title, what it says, and at its foot the way out (and on, where there is one).
import type { ComponentChildren } from "preact";
import { useEffect, useRef } from "preact/hooks";
import type { Model } from "../model";

interface Props {
    model: Model;
    title: string;
    class?: string;
    foot?: ComponentChildren; // beside "close"
    said?: string; // what came of the last tap: the page's own notice lies under an open sheet
    children: ComponentChildren;
}

export function Sheet(props: Props) {
    const ref = useRef<HTMLDialogElement>(null);
    const open = useRef(true);
    useEffect(() => {
        const dialog = ref.current;
        dialog?.showModal();
        return () => {
            open.current = false; // the close event comes later, when another sheet may be open
            dialog?.close();
        };
    }, []);
    return (
        <dialog
            ref={ref}
            class={props.class}
            aria-label={props.title}
            onClose={() => open.current && props.model.show(null)}
        >
            <h2>{props.title}</h2>
            <div class="sheet">{props.children}</div>
            {props.said !== undefined && (
                <p class="said" role="status">
                    {props.said}
                </p>
            )}
            <div class="sheet-foot">
                {props.foot}
                {/* Has the focus, or a tablet would open its keyboard over a sheet with a field. */}
                <button type="button" class="firm" autofocus onClick={() => props.model.show(null)}>
                    close
                </button>
            </div>
        </dialog>
    );
}
