#include "support/made_roasts/awkward.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <vector>

#include "core/milli.hpp"
#include "support/random.hpp"

namespace drumwatch {
namespace {

constexpr double kStep_s = 0.05;
constexpr double kRoom_c = 24;

/// One machine, one coffee and one way to do things.
struct Habits {
    double lag_s = 20;
    double charge_c = 200;
    double bed_c = 45;    ///< what the probe feels of the cold beans
    double heat_c = 250;  ///< what the bed warms towards
    double theta_s = 250;
    double load_s = 0.5;
    double drop_c = 215;
    double unload_s = 1;
    double emptied_c = 150;
    double metal_c = 225;  ///< of the closed empty drum
    double idle_s = 90;
    double after_s = 60;
    double step_s = 0.25;
    double noise_c = 0.1;
    double quantum_c = 0.1;
    double spikes_per_min = 0;
    double lost = 0.004;
};

Habits any_habits(std::uint64_t seed, TestRandom& random) {
    Habits habits;
    habits.lag_s = random.uniform(8, 40);
    habits.charge_c = random.uniform(150, 230);
    habits.bed_c = random.uniform(28, 60);
    habits.drop_c = random.uniform(194, 238);
    habits.heat_c = habits.drop_c + random.uniform(12, 45);
    const double roast_s = random.uniform(320, 800);
    habits.theta_s = roast_s / std::log((habits.heat_c - habits.bed_c) / (habits.heat_c - habits.drop_c));
    habits.load_s = random.uniform(0, 1.2);
    habits.unload_s = random.uniform(0, 1.5);
    const double way = random.uniform();
    habits.metal_c = habits.drop_c + random.uniform(10, 40);
    habits.emptied_c = way < 0.5    ? random.uniform(120, 165)
                       : way < 0.75 ? habits.drop_c - random.uniform(12, 35)
                                    : habits.drop_c + random.uniform(15, 40);
    habits.idle_s = random.uniform(40, 150);
    habits.after_s = random.uniform(25, 120);
    const double rates[] = {0.25, 0.5, 1};
    habits.step_s = rates[(seed / 2) % 3];
    habits.noise_c = random.uniform(0.03, 0.2);
    habits.quantum_c = (seed / 6) % 3 == 0 ? 5.0 / 9 : 0.1;
    habits.spikes_per_min = random.uniform() < 0.3 ? random.uniform(0.3, 1.2) : 0;
    return habits;
}

/// What happens at the machine, scene after scene; keeps the probe's true temperature.
class Story {
  public:
    explicit Story(const Habits& habits) : habits_(habits), probe_c_(habits.charge_c) {}

    double now_s() const { return static_cast<double>(probe_.size()) * kStep_s; }
    const std::vector<double>& probe() const { return probe_; }
    double probe_c() const { return probe_c_; }
    void begin_at(double probe_c) { probe_c_ = felt_c_ = probe_c; }

    /// The probe feels `wanted(seconds since the scene began)`, blending in over `blend_s`.
    void scene(double length_s, double blend_s, const std::function<double(double)>& wanted) {
        const double before_c = felt_c_;
        for (double t_s = 0; t_s < length_s; t_s += kStep_s) {
            const double part = blend_s <= 0 ? 1 : std::min(1.0, t_s / blend_s);
            felt_c_ = before_c + (wanted(t_s) - before_c) * part;
            tick();
        }
    }
    void hold(double length_s, double level_c) {
        scene(length_s, 0, [=](double) { return level_c; });
    }
    /// An opened door: a share of the room's air.
    void door(double length_s, double level_c, double share) {
        scene(length_s, 1, [=](double) { return level_c + share * (kRoom_c - level_c); });
    }
    void charge() {
        charged_s_ = now_s();
        bed_c_ = habits_.bed_c;
        lowest_c_ = 1e9;
    }
    /// The bed warms for so long, or until it is to be dropped. `dip_c`: what the probe misses.
    void roast(double length_s, const std::function<double(double)>& dip_c = {}) {
        const double from_s = now_s();
        const double before_c = felt_c_;
        while (now_s() - from_s < length_s && bed_c_ < habits_.drop_c) {
            const double t_s = now_s() - charged_s_;
            const double part = habits_.load_s <= 0 ? 1 : std::min(1.0, t_s / habits_.load_s);
            bed_c_ += (habits_.heat_c - bed_c_) / habits_.theta_s * kStep_s;
            felt_c_ = before_c + (bed_c_ - before_c) * part - (dip_c ? dip_c(now_s() - from_s) : 0);
            tick();
            if (probe_c_ >= lowest_c_) continue;
            lowest_c_ = probe_c_;
            lowest_s_ = now_s();
        }
    }
    void second_portion() { bed_c_ -= 0.4 * (bed_c_ - habits_.bed_c); }
    double bed_c() const { return bed_c_; }
    double turning_point_s() const { return lowest_s_; }
    double turning_point_c() const { return lowest_c_; }
    void empty(double length_s) {
        scene(length_s, habits_.unload_s, [&](double) { return habits_.emptied_c; });
    }

  private:
    void tick() {
        probe_c_ += (felt_c_ - probe_c_) * kStep_s / habits_.lag_s;
        probe_.push_back(probe_c_);
    }

    const Habits& habits_;
    std::vector<double> probe_;
    double probe_c_;
    double felt_c_ = 0;
    double bed_c_ = 0;
    double charged_s_ = 0;
    double lowest_c_ = 1e9;
    double lowest_s_ = 0;
};

constexpr double kWhole_s = 5000;

/// A swing of the preheat: its size and its time.
std::function<double(double)> swing(double middle_c, TestRandom& random) {
    const double size_c = random.uniform(5, 10);
    const double period_s = random.uniform(90, 300);
    const double phase = random.uniform(0, 6.28);
    return [=](double t_s) { return middle_c + size_c * std::sin(phase + t_s * 6.2832 / period_s); };
}

/// Stretches of the file without a proper reading.
struct Hole {
    double from_s = 0;
    double to_s = 0;
    std::optional<double> shown_c;
    bool frozen = false;
};

/// Tells one kind of story: what stands in the file and what is true of it.
class Teller {
  public:
    Teller(const Habits& habits, TestRandom& random) : habits_(habits), random_(random), story_(habits) {
        story_.begin_at(habits.charge_c);
    }

    void tell(Awkward kind) {
        before(kind);
        if (kind == Awkward::idle_all_day || kind == Awkward::only_given_up) return;
        truth_.charge_s = story_.now_s();
        story_.charge();
        in_drum(kind);
        truth_.turning_point_s = story_.turning_point_s();
        turned_s_ = *truth_.turning_point_s - *truth_.charge_s;
        truth_.drop_s = story_.now_s();
        after(kind);
        late(kind);
    }
    /// A turning point and a roast as they are found.
    bool believable() const {
        if (!truth_.drop_s) return true;
        return turned_s_ > 25 && turned_s_ < 130 && turned_c_ > 50 && turned_c_ < 120 &&
               turned_c_ < habits_.charge_c - 45 && length_s_ > 300;
    }
    const Story& story() const { return story_; }
    const AwkwardTruth& truth() const { return truth_; }
    const std::vector<Hole>& holes() const { return holes_; }
    double from_s() const { return from_s_; }

  private:
    void before(Awkward kind) {
        const double level_c = habits_.charge_c;
        switch (kind) {
            case Awkward::door_before_charge:
                story_.hold(random_.uniform(30, 60), level_c);
                story_.door(random_.uniform(4, 25), level_c, random_.uniform(0.1, 0.32));
                story_.hold(random_.uniform(20, 120), level_c);
                return;
            case Awkward::preheat_swing:
                story_.scene(random_.uniform(150, 400), 20, swing(level_c, random_));
                return;
            case Awkward::charge_given_up:
                given_up();
                story_.hold(random_.uniform(100, 240), level_c);
                return;
            case Awkward::only_given_up:
                given_up();
                story_.hold(random_.uniform(60, 300), level_c);
                return;
            case Awkward::charged_while_cooling:
                story_.begin_at(habits_.drop_c);
                story_.hold(random_.uniform(3, 15), random_.uniform(130, 165));
                story_.hold(random_.uniform(20, 120), habits_.metal_c - random_.uniform(10, 40));
                return;
            case Awkward::idle_all_day:
                for (int i = 0; i < 3; ++i) {
                    story_.scene(random_.uniform(120, 300), 20, swing(level_c, random_));
                    story_.door(random_.uniform(4, 25), level_c, random_.uniform(0.1, 0.32));
                }
                story_.hold(120, level_c);
                return;
            default:
                story_.hold(habits_.idle_s, level_c + random_.uniform(-6, 6));
        }
    }
    void given_up() {
        story_.hold(habits_.idle_s, habits_.charge_c);
        story_.charge();
        story_.roast(random_.uniform(18, 55));
        story_.scene(random_.uniform(5, 20), habits_.unload_s,
                     [&](double) { return 0.85 * habits_.charge_c; });
        story_.hold(60, habits_.charge_c);
    }
    void in_drum(Awkward kind) {
        const double from_s = story_.now_s();
        if (kind == Awkward::two_portions) {
            story_.roast(random_.uniform(4, 15));
            story_.second_portion();
        }
        story_.roast(150);
        turned_c_ = story_.turning_point_c();
        if (kind == Awkward::door_in_roast) {
            const double open_s = random_.uniform(4, 12);
            const double depth_c = random_.uniform(8, 25);
            story_.roast(random_.uniform(60, 150));
            story_.roast(open_s + 60, [=](double t_s) { return t_s < open_s ? depth_c : 0; });
        }
        if (kind == Awkward::samples) return samples(from_s);
        story_.roast(kWhole_s);
        length_s_ = story_.now_s() - from_s;
        if (kind == Awkward::dead_probe) dead(from_s, random_.uniform(10, 70));
        if (kind == Awkward::gap_of_two_minutes && length_s_ > 330) dead(from_s, 120);
    }
    /// From when it is hot on, a spoon every half minute or so; the last one long enough before the drop.
    void samples(double from_s) {
        const double every_s = random_.uniform(18, 40);
        const double long_s = random_.uniform(2, 6);
        const double depth_c = random_.uniform(4, 18);
        while (story_.bed_c() < habits_.drop_c) {
            if (story_.bed_c() < 180) {
                story_.roast(1);
            } else {
                story_.roast(every_s, [=](double t_s) { return t_s < long_s ? depth_c : 0; });
            }
        }
        length_s_ = story_.now_s() - from_s;
    }
    void dead(double charge_s, double long_s) {
        const double from_s = charge_s + random_.uniform(170, length_s_ - long_s - 40);
        Hole hole{from_s, from_s + long_s, {}, false};
        const double way = long_s > 100 ? 0 : random_.uniform();
        if (way > 0.5) hole.shown_c = way > 0.75 ? 0 : 1372;
        hole.frozen = way > 0.35 && way <= 0.5;
        holes_.push_back(hole);
    }
    void after(Awkward kind) {
        if (kind == Awkward::emptied_rebound) {
            story_.empty(random_.uniform(10, 40));
            story_.hold(random_.uniform(120, 300), habits_.metal_c - random_.uniform(0, 25));
            return;
        }
        if (kind == Awkward::charged_again) {
            story_.empty(random_.uniform(15, 40));
            story_.hold(random_.uniform(15, 90), habits_.metal_c - random_.uniform(0, 25));
            truth_.next_charge_s = story_.now_s();
            story_.charge();
            story_.roast(60);
            return;
        }
        story_.empty(habits_.after_s);
    }
    /// What lies before the file's first row is cut off.
    void late(Awkward kind) {
        if (kind == Awkward::starts_after_charge) {
            from_s_ = *truth_.charge_s + random_.uniform(3, *truth_.turning_point_s - *truth_.charge_s - 12);
            truth_.charge_s.reset();
        } else if (kind == Awkward::starts_in_roast) {
            from_s_ =
                *truth_.turning_point_s + random_.uniform(15, *truth_.drop_s - *truth_.turning_point_s - 100);
            truth_.charge_s.reset();
            truth_.turning_point_s.reset();
        }
    }

    const Habits& habits_;
    TestRandom& random_;
    Story story_;
    AwkwardTruth truth_;
    std::vector<Hole> holes_;
    double from_s_ = 0;
    double length_s_ = 0;
    double turned_s_ = 0;
    double turned_c_ = 0;
};

std::optional<double> shown(const Teller& teller, double t_s) {
    const auto at = [&](double when_s) {
        return teller.story().probe()[static_cast<std::size_t>(when_s / kStep_s)];
    };
    for (const Hole& hole : teller.holes()) {
        if (t_s < hole.from_s || t_s >= hole.to_s) continue;
        return hole.frozen ? std::optional(at(hole.from_s)) : hole.shown_c;
    }
    return at(t_s);
}

bool frozen(const Teller& teller, double t_s) {
    return std::any_of(teller.holes().begin(), teller.holes().end(), [&](const Hole& hole) {
        return hole.frozen && t_s >= hole.from_s && t_s < hole.to_s;
    });
}

RoastFile rows(const Teller& teller, const Habits& habits, TestRandom& random) {
    RoastFile file;
    Channel channel;
    channel.name = "bean";
    channel.role = Role::bean;
    channel.unit = Unit::celsius;
    file.channels.push_back(channel);
    const double end_s = teller.story().now_s() - 1;
    for (double t_s = teller.from_s(); t_s < end_s; t_s += habits.step_s) {
        RoastRow row;
        row.elapsed_ms = std::llround((t_s - teller.from_s()) * 1000);
        auto value_c = shown(teller, std::max(0.0, t_s + 0.05 * habits.step_s * random.uniform(-1, 1)));
        if (random.uniform() < habits.lost) value_c.reset();
        if (value_c) {
            if (!frozen(teller, t_s)) *value_c += habits.noise_c * random.normal();
            if (random.uniform() < habits.spikes_per_min * habits.step_s / 60)
                *value_c += random.uniform() < 0.5 ? 25 : -18;
            *value_c = std::round(*value_c / habits.quantum_c) * habits.quantum_c;
        }
        row.values = {value_c ? to_milli(*value_c) : std::nullopt};
        file.rows.push_back(row);
    }
    return file;
}

void shift(std::optional<double>& time_s, double by_s) {
    if (time_s) *time_s -= by_s;
}

constexpr std::array<std::string_view, kAwkwardKinds> kNames = {"none",
                                                                "door before charge",
                                                                "preheat swing",
                                                                "charge given up",
                                                                "only given up",
                                                                "charged while cooling",
                                                                "charged again",
                                                                "two portions",
                                                                "door in roast",
                                                                "samples",
                                                                "dead probe",
                                                                "gap of two minutes",
                                                                "starts after charge",
                                                                "starts in roast",
                                                                "emptied rebound",
                                                                "idle all day"};

}  // namespace

std::string_view name(Awkward kind) { return kNames[static_cast<std::size_t>(kind)]; }

AwkwardFile awkward_file(Awkward kind, std::uint64_t seed) {
    TestRandom random(seed * 100 + static_cast<std::uint64_t>(kind));
    for (;;) {
        const Habits habits = any_habits(seed, random);
        Teller teller(habits, random);
        teller.tell(kind);
        if (!teller.believable()) continue;
        AwkwardFile made{rows(teller, habits, random), teller.truth()};
        for (auto* time_s : {&made.truth.charge_s, &made.truth.turning_point_s, &made.truth.drop_s,
                             &made.truth.next_charge_s})
            shift(*time_s, teller.from_s());
        return made;
    }
}

}  // namespace drumwatch
