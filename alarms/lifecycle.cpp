#include "alarms/lifecycle.hpp"

namespace drumwatch {

namespace {

using State = AlarmState;
using Next = std::optional<AlarmState>;

State settled(AlarmNature nature) { return nature.holds ? State::unacknowledged : State::normal; }

Next on_onset(State state) {
    switch (state) {
        case State::unknown:
        case State::normal:
        case State::returned_unacknowledged:
        case State::latched_unacknowledged:
        case State::latched_acknowledged:
            return State::unacknowledged;
        default:
            return std::nullopt;
    }
}

Next on_clear(State state, AlarmNature nature) {
    switch (state) {
        case State::unknown:
            return State::normal;
        case State::unacknowledged:
            return nature.latches ? State::latched_unacknowledged : State::returned_unacknowledged;
        case State::acknowledged:
            return nature.latches ? State::latched_acknowledged : State::normal;
        default:
            return std::nullopt;
    }
}

Next on_acknowledge(State state) {
    switch (state) {
        case State::unacknowledged:
            return State::acknowledged;
        case State::returned_unacknowledged:
            return State::normal;
        case State::latched_unacknowledged:
            return State::latched_acknowledged;
        default:
            return std::nullopt;
    }
}

/// What is latched can't be put aside: someone must have looked first.
bool may_be_put_aside(State state) {
    return state == State::normal || state == State::unacknowledged || state == State::acknowledged ||
           state == State::returned_unacknowledged;
}

Next on_timer(State state, AlarmNature nature) {
    if (state == State::shelved) return settled(nature);
    const bool lasts = state == State::unacknowledged || state == State::acknowledged;
    return lasts ? Next(State::unacknowledged) : std::nullopt;
}

Next leaves(State state, State from, AlarmNature nature) {
    return state == from ? Next(settled(nature)) : std::nullopt;
}

}  // namespace

Next after(State state, AlarmAct act, AlarmNature nature) {
    switch (act) {
        case AlarmAct::onset:
            return on_onset(state);
        case AlarmAct::clear:
            return on_clear(state, nature);
        case AlarmAct::acknowledge:
            return on_acknowledge(state);
        case AlarmAct::reset:
            return state == State::latched_acknowledged ? Next(State::normal) : std::nullopt;
        case AlarmAct::shelve:
            return may_be_put_aside(state) ? Next(State::shelved) : std::nullopt;
        case AlarmAct::unshelve:
            return leaves(state, State::shelved, nature);
        case AlarmAct::timer:
            return on_timer(state, nature);
        case AlarmAct::suppress:
            return may_be_put_aside(state) || state == State::unknown ? Next(State::suppressed)
                                                                      : std::nullopt;
        case AlarmAct::release:
            return leaves(state, State::suppressed, nature);
        case AlarmAct::take_out:
            return state == State::out_of_service ? std::nullopt : Next(State::out_of_service);
        case AlarmAct::put_back:
            return leaves(state, State::out_of_service, nature);
    }
    return std::nullopt;
}

}  // namespace drumwatch
