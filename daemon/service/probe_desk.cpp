#include "service/probe_desk.hpp"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <string_view>
#include <utility>

#include "drivers/sensors/boiling_point.hpp"
#include "service/tick_log.hpp"

namespace drumwatch {

namespace {

constexpr std::int64_t kWindow_ms = 20'000;
constexpr std::int64_t kLeast_ms = 15'000;
constexpr std::size_t kLeastReadings = 5;
constexpr Milli kSteady = 1'000;  ///< highest less lowest reading. Judgement
constexpr std::size_t kRemembered = 64;
constexpr std::int64_t kDay_ms = 86'400'000;
constexpr const char* kBatchInDrum = "There is a batch in the drum: do this when it is empty.";

double of(Milli milli) { return from_milli(milli); }

std::optional<CalibrationPoint> parse_point(std::string_view text) {
    CalibrationPoint point;
    const char* const end = text.data() + text.size();
    const auto reads = std::from_chars(text.data(), end, point.reads_milli);
    if (reads.ec != std::errc{} || reads.ptr == end || *reads.ptr != '=') return std::nullopt;
    const auto is = std::from_chars(reads.ptr + 1, end, point.is_milli);
    if (is.ec != std::errc{} || is.ptr != end) return std::nullopt;
    return point;
}

std::string difference_words(Milli reads, Milli is) {
    const double off = of(reads - is);
    if (std::fabs(off) < 0.05) return "which is right";
    return fmt::format("{:.1f} too {}", std::fabs(off), off > 0 ? "high" : "low");
}

}  // namespace

std::string calibration_text(const Calibration& calibration) {
    std::string text;
    for (const CalibrationPoint& point : calibration)
        text += fmt::format("{}{}={}", text.empty() ? "" : " ", point.reads_milli, point.is_milli);
    return text;
}

std::optional<Calibration> parse_calibration(const std::string& text) {
    Calibration calibration;
    std::string_view rest = text;
    while (!rest.empty()) {
        const std::string_view item = rest.substr(0, rest.find(' '));
        rest.remove_prefix(std::min(item.size() + 1, rest.size()));
        const auto point = parse_point(item);
        if (!point) return std::nullopt;
        calibration.push_back(*point);
    }
    return calibration;
}

ProbeDesk::ProbeDesk(const Config& config, const std::vector<ProbeRow>& log, LatestReadings& latest,
                     Recorder& recorder, const Clock& clock, Post post, NewEpoch new_epoch)
    : channels_(config.channels),
      rules_(config.probes),
      latest_(latest),
      recorder_(recorder),
      clock_(clock),
      post_(std::move(post)),
      new_epoch_(std::move(new_epoch)),
      histories_(config.channels.size()),
      faults_(config.channels.size()),
      recent_(config.channels.size()) {
    for (const ProbeRow& row : log) {
        take(row);
        remember(row.client_id);
    }
    for (std::size_t i = 0; i < channels_.size(); ++i) {
        if (histories_[i].calibration.empty()) continue;
        spdlog::info("{}: calibrated, {}", channels_[i].name, calibration_text(histories_[i].calibration));
    }
}

/// Of a channel that the configuration has no longer, nothing is taken; it comes back with the channel.
void ProbeDesk::take(const ProbeRow& row) {
    const auto at = std::find_if(channels_.begin(), channels_.end(),
                                 [&](const Channel& channel) { return channel.name == row.channel; });
    if (at == channels_.end()) return;
    const auto index = static_cast<std::size_t>(at - channels_.begin());
    ProbeHistory& history = histories_[index];
    if (row.act == ProbeAct::checked) history.last_check = row;
    if (begins_epoch(row.act)) history.epoch = row;
    if (row.act != ProbeAct::calibrated) return;
    if (auto calibration = parse_calibration(row.after)) history.calibration = std::move(*calibration);
    latest_.calibrate(index, history.calibration);
}

std::optional<Observation> ProbeDesk::tick(Tick now, bool roasting) {
    roasting_ = roasting;
    for (std::size_t i = 0; i < channels_.size(); ++i) {
        std::vector<Recent>& recent = recent_[i];
        std::erase_if(recent, [&](const Recent& one) { return now - one.at > kWindow_ms; });
        if (const auto reads = latest_.uncorrected(i)) recent.push_back({now, *reads});
    }
    const auto bean = find_role(channels_, Role::bean);
    const auto due_days = bean ? due_in_days(*bean) : std::nullopt;
    const bool overdue = due_days && *due_days <= 0;
    if (overdue == overdue_) return std::nullopt;
    overdue_ = overdue;
    return Observation{now, Health::probe_check_overdue, 0, overdue};
}

void ProbeDesk::judged(const Snapshot& snapshot) {
    for (const std::string& line : faults_.take(snapshot, channels_)) log_at(snapshot.tick, line);
}

void ProbeDesk::take_saying(const ProbeSaid& said, const Answer& answer) {
    const std::string id = std::visit([](const auto& one) { return one.client_id; }, said);
    if (std::find(client_ids_.begin(), client_ids_.end(), id) != client_ids_.end())
        return answer({200, true, "That was said already, and is noted."});
    std::vector<Answer>& waiting = under_way_[id];
    waiting.push_back(answer);
    if (waiting.size() > 1) return;
    const Answer and_note = [this, id](const CommandAnswer& told) { finish(id, told); };
    if (const auto* checked = std::get_if<ProbeChecked>(&said)) return check(*checked, and_note);
    if (const auto* points = std::get_if<ProbeCalibrated>(&said)) return calibrate(*points, and_note);
    if (const auto* changed = std::get_if<ProbeChanged>(&said)) return change(*changed, and_note);
    confirm(std::get<TargetConfirmed>(said), and_note);
}

/// What was refused may be said again under the same id.
void ProbeDesk::finish(const std::string& id, const CommandAnswer& told) {
    const auto waiting = under_way_.extract(id);
    if (told.status < 300) remember(id);
    for (const Answer& answer : waiting.mapped()) answer(told);
}

void ProbeDesk::remember(const std::string& id) {
    client_ids_.push_back(id);
    if (client_ids_.size() > kRemembered) client_ids_.erase(client_ids_.begin());
}

std::optional<std::size_t> ProbeDesk::find(const std::string& name, const Answer& answer) const {
    const auto at = std::find_if(channels_.begin(), channels_.end(),
                                 [&](const Channel& channel) { return channel.name == name; });
    if (at == channels_.end()) {
        answer({404, true, fmt::format("No channel is called \"{}\".", name)});
        return std::nullopt;
    }
    if (at->unit != Unit::celsius) {
        answer({422, true, fmt::format("{} is no temperature.", name)});
        return std::nullopt;
    }
    if (roasting_) {
        answer({409, true, kBatchInDrum});
        return std::nullopt;
    }
    return static_cast<std::size_t>(at - channels_.begin());
}

std::optional<Milli> ProbeDesk::steady_reading(std::size_t channel, const Answer& answer) const {
    const std::vector<Recent>& recent = recent_[channel];
    if (recent.size() < kLeastReadings || recent.back().at - recent.front().at < kLeast_ms) {
        answer({409, true,
                fmt::format("{} has not given good readings for {} s yet: wait, or look at its quality.",
                            channels_[channel].name, kLeast_ms / 1000)});
        return std::nullopt;
    }
    const auto less = [](const Recent& a, const Recent& b) { return a.reads_milli < b.reads_milli; };
    const auto [low, high] = std::minmax_element(recent.begin(), recent.end(), less);
    if (high->reads_milli - low->reads_milli > kSteady) {
        answer(
            {409, true,
             fmt::format(
                 "{} is not steady: {:.1f} to {:.1f} °C in the last 20 s, and 1.0 °C is allowed. Stir, keep "
                 "the tip off the wall, wait.",
                 channels_[channel].name, of(low->reads_milli), of(high->reads_milli))});
        return std::nullopt;
    }
    double sum = 0;
    for (const Recent& one : recent) sum += one.reads_milli;
    return static_cast<Milli>(std::lround(sum / static_cast<double>(recent.size())));
}

std::optional<Milli> ProbeDesk::truth_of(const ProbeChecked& said, const Answer& answer) const {
    if (said.method == "ice_point") return Milli{0};
    if (said.method == "comparison") {
        if (said.is_c) return to_milli(*said.is_c);
        answer({422, true, "A comparison needs is_c, what the other instrument reads, in °C."});
        return std::nullopt;
    }
    const auto pressure = said.pressure_hpa   ? said.pressure_hpa
                          : rules_.altitude_m ? standard_pressure_hpa(*rules_.altitude_m)
                                              : std::nullopt;
    const auto boils_c = pressure ? boiling_point_c(*pressure) : std::nullopt;
    if (boils_c) return to_milli(*boils_c);
    answer({422, true,
            "Where water boils depends on the air pressure: give pressure_hpa (as measured at the site, not "
            "reduced to sea "
            "level), or \"altitude_m\" under \"probes\" in the configuration."});
    return std::nullopt;
}

void ProbeDesk::keep(ProbeRow row, std::string done, const Answer& answer) {
    row.at = clock_.wall();
    take(row);
    spdlog::info("probe {}: {}{}", row.channel, done, row.who.empty() ? "" : " (" + row.who + ")");
    recorder_.append(std::move(row), [post = post_, answer, done = std::move(done)](bool committed) {
        post([answer, done, committed] {
            if (committed) return answer({200, true, done});
            answer({202, false,
                    done + " It is not in the record yet: that is failing and will be tried again."});
        });
    });
}

void ProbeDesk::check(const ProbeChecked& said, const Answer& answer) {
    const auto channel = find(said.channel, answer);
    if (!channel) return;
    const auto is = truth_of(said, answer);
    if (!is) return;
    const auto reads = steady_reading(*channel, answer);
    if (!reads) return;
    const Milli shown = calibrated(histories_[*channel].calibration, *reads);
    ProbeRow row;
    row.channel = said.channel;
    row.act = ProbeAct::checked;
    row.method = said.method;
    row.reads_milli = *reads;
    row.is_milli = *is;
    row.before = row.after = calibration_text(histories_[*channel].calibration);
    row.note = said.note;
    row.who = said.who;
    row.client_id = said.client_id;
    keep(std::move(row),
         fmt::format("It shows {:.1f} °C where {:.1f} °C is true: {}.", of(shown), of(*is),
                     difference_words(shown, *is)),
         answer);
}

void ProbeDesk::calibrate(const ProbeCalibrated& said, const Answer& answer) {
    const auto channel = find(said.channel, answer);
    if (!channel) return;
    Calibration calibration;
    for (const auto& point : said.points)
        calibration.push_back({to_milli(point.reads_c).value_or(0), to_milli(point.is_c).value_or(0)});
    if (std::string why = calibration_refusal(calibration, rules_.largest_correction_milli); !why.empty())
        return answer({422, true, fmt::format("Not calibrated: {}.", why)});
    ProbeRow row;
    row.channel = said.channel;
    row.act = ProbeAct::calibrated;
    row.before = calibration_text(histories_[*channel].calibration);
    row.after = calibration_text(calibration);
    row.note = said.note;
    row.who = said.who;
    row.client_id = said.client_id;
    keep(std::move(row),
         calibration.empty() ? "Its readings are taken as they come."
                             : fmt::format("Its readings are corrected by {} point{} from now on.",
                                           calibration.size(), calibration.size() == 1 ? "" : "s"),
         answer);
}

void ProbeDesk::change(const ProbeChanged& said, const Answer& answer) {
    const auto channel = find(said.channel, answer);
    if (!channel) return;
    ProbeRow row;
    row.channel = said.channel;
    row.act = probe_act_from_name(said.what).value_or(ProbeAct::moved);
    row.note = said.note;
    row.who = said.who;
    row.client_id = said.client_id;
    // Only the bean probe's temperatures are learned from, and targets are of them.
    const bool bean = channels_[*channel].role == Role::bean;
    keep(std::move(row),
         bean ? "What was learned of its temperatures counts for little from now on, and targets from before "
                "it "
                "ask to be confirmed."
              : "Noted, with the day: what its readings were before may differ from those after.",
         answer);
    new_epoch_(*channel);
}

void ProbeDesk::confirm(const TargetConfirmed& said, const Answer& answer) {
    ProbeRow row;
    row.channel = "bean";
    row.act = ProbeAct::target_confirmed;
    row.note = said.name;
    row.who = said.who;
    row.client_id = said.client_id;
    keep(std::move(row),
         fmt::format("The target {} is taken to hold with the probe as it is now.", said.name), answer);
}

std::optional<std::int64_t> ProbeDesk::due_in_days(std::size_t channel) const {
    if (!rules_.check_every_days || channels_[channel].unit != Unit::celsius) return std::nullopt;
    const auto& check = histories_[channel].last_check;
    if (!check) return 0;
    const std::int64_t age_days = (clock_.wall().unix_ms - check->at.unix_ms) / kDay_ms;
    return *rules_.check_every_days - age_days;
}

}  // namespace drumwatch
