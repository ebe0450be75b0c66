// A row of choices, and a field with its name above it.

export interface Choice<Value> {
    value: Value;
    words: string;
}

export function Choices<Value>(props: {
    label: string;
    now: Value;
    choices: Choice<Value>[];
    choose: (value: Value) => void;
}) {
    return (
        <fieldset>
            <legend>{props.label}</legend>
            {props.choices.map((choice) => (
                <button
                    key={choice.words}
                    type="button"
                    class={choice.value === props.now ? "plain chosen" : "plain"}
                    aria-pressed={choice.value === props.now}
                    onClick={() => props.choose(choice.value)}
                >
                    {choice.words}
                </button>
            ))}
        </fieldset>
    );
}

export function Field(props: {
    label: string;
    value: string;
    set: (value: string) => void;
    most: number; // characters
    decimal?: boolean;
}) {
    return (
        <label class="field">
            {props.label}
            <input
                type="text"
                inputMode={props.decimal ? "decimal" : "text"}
                autocomplete="off"
                maxLength={props.most}
                value={props.value}
                onInput={(event) => props.set((event.currentTarget as HTMLInputElement).value)}
            />
        </label>
    );
}
