// What the machine's probes say of each other: faults and doubts that one reading alone does not show.
#include <algorithm>

#include "engine/engine.hpp"

namespace drumwatch {

namespace {

/// In the roaster's heat or that of its exhaust. A tray or a room may well be cold beside a hot machine.
constexpr Role kHeated[] = {Role::bean, Role::exhaust, Role::inlet, Role::drum, Role::oxidiser};

bool is_heated(Role role) {
    return std::find(std::begin(kHeated), std::end(kHeated), role) != std::end(kHeated);
}

/// The one that moves when this one does, so that resting beside it is a fault; an oxidiser keeps its
/// setpoint.
std::optional<Role> moves_with(Role role) {
    if (role == Role::bean) return Role::exhaust;
    if (role == Role::exhaust || role == Role::inlet || role == Role::drum) return Role::bean;
    return std::nullopt;
}

}  // namespace

/// Of the bean probe, and only with coffee in the drum: an empty one may rest.
Quality Engine::unless_frozen(Quality judged, const Sample& sample, Tick now) {
    if (!roasting_) {
        bean_still_.clear();
        return judged;
    }
    if (sample.fresh && has_value(judged)) {
        const auto* exhaust = channel(Role::exhaust);
        const bool known = exhaust && has_value(exhaust->quality);
        bean_still_.add(now, sample.value_milli, batches_[current_].rise_per_min().value_or(0),
                        known ? std::optional(exhaust->value_milli) : std::nullopt);
    }
    return is_good(judged) && bean_still_.frozen() ? Quality::frozen : judged;
}

Surroundings Engine::around(std::size_t index) const {
    Surroundings around;
    const auto told = [](const ChannelState& state) { return state.ever_fresh && is_good(state.quality); };
    const auto* ambient = channel(Role::ambient);
    if (ambient && told(*ambient)) around.room_c = from_milli(ambient->value_milli);
    for (const Role role : kHeated) {
        const auto& other = roles_[static_cast<std::size_t>(role)];
        if (!other || *other == index || !told(channels_[*other])) continue;
        around.hottest = std::max(around.hottest.value_or(-1e9), from_milli(channels_[*other].value_milli));
    }
    const auto mover = moves_with(begin_.settings.channels[index].role);
    const auto* moving = mover ? channel(*mover) : nullptr;
    if (moving && told(*moving)) around.moving_c = from_milli(moving->value_milli);
    return around;
}

/// The others are as the tick before had them, or this one where their channels come first.
Quality Engine::beside_others(std::size_t index, Quality judged, const Sample& sample, Tick now) {
    const Channel& channel = begin_.settings.channels[index];
    if (channel.unit != Unit::celsius || !is_heated(channel.role)) return judged;
    ChannelState& state = channels_[index];
    if (sample.quality != Quality::good)
        state.watched = judged;
    else if (sample.fresh)
        state.watched = state.watch.judge(judged, from_milli(sample.value_milli), now, around(index));
    return state.watched;
}

void Engine::doubt_twin(std::size_t index, Tick now) {
    const Channel& channel = begin_.settings.channels[index];
    ChannelState& own = channels_[index];
    const ChannelState& twin = channels_[*channel.twin];
    const auto own_line = own.smoother.at(now);
    const auto twin_line = twin.smoother.at(now);
    if (!is_good(own.quality) || !is_good(twin.quality) || !own_line || !twin_line) return;
    own.twin.add(now, own_line->value, twin_line->value, own_line->per_second * 60,
                 twin_line->per_second * 60, from_milli(channel.twin_limit_milli));
}

void Engine::doubt_probes(const Frame& frame) {
    const std::size_t count = std::min<std::size_t>(frame.channels, channels_.size());
    for (std::size_t i = 0; i < count; ++i) {
        const Channel& channel = begin_.settings.channels[i];
        if (channel.unit != Unit::celsius || !frame.samples[i].fresh) continue;
        ChannelState& state = channels_[i];
        if (has_value(state.quality))
            state.noise.add(frame.tick, from_milli(state.value_milli));
        else
            state.noise.clear();
        if (channel.twin && *channel.twin < count) doubt_twin(i, frame.tick);
        state.doubt = state.twin.apart()    ? ProbeDoubt::apart_from_twin
                      : state.noise.noisy() ? ProbeDoubt::noisy
                                            : ProbeDoubt::none;
    }
}

}  // namespace drumwatch
