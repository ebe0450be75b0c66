#include "simulator/by_hand.hpp"

#include <unistd.h>

#include <cmath>
#include <cstdio>
#include <iostream>

#include "simulator/target/review.hpp"

namespace drumwatch::simulator {
namespace {

constexpr double kPress_pct = 5.0;
constexpr std::chrono::milliseconds kRedraw{200};
constexpr std::int64_t kPrintEvery_ms = 10000;

constexpr const char* kWords =
    "Practice on a model, not on a real machine. It is no substitute for the machine's manual, the site's "
    "fire plan,\n"
    "local fire and gas codes, and licensed technicians; what goes well here may go badly on a real "
    "roaster.\n";

constexpr const char* kKeys =
    "Keys:  u / j  burner up / down 5 %      i / k  airflow up / down 5 %\n"
    "       c  charge      d  drop      h  these keys      q  quit\n";

std::string minutes(double at_s) {
    char text[32];
    const long whole = static_cast<long>(at_s);
    std::snprintf(text, sizeof text, "%ld:%02ld", whole / 60, whole % 60);
    return text;
}

std::string when_words(const Trigger& when) {
    char text[64];
    switch (when.kind) {
        case Trigger::Kind::at_s:
            return "at " + minutes(when.value);
        case Trigger::Kind::bean_c:
            std::snprintf(text, sizeof text, "at %.0f C", when.value);
            return text;
        case Trigger::Kind::after_first_crack_s:
            std::snprintf(text, sizeof text, "%.0f s after first crack", when.value);
            return text;
    }
    return "";
}

}  // namespace

ByHand::ByHand(const Machine& machine, Target target) : machine_(machine), target_(std::move(target)) {}

void ByHand::greet() const {
    std::printf(
        "%s\n%s%s, %.1f kg of %s. Charge at %.0f C with burner %.0f %% and airflow %.0f %% (set for you).\n",
        kWords, kKeys, machine_.title.c_str(), machine_.charge_kg, machine_.coffee.c_str(),
        machine_.charge_probe_c, machine_.charge_burner_pct, machine_.charge_airflow_pct);
    std::printf("The plan:\n");
    for (const PlannedMove& move : target_.moves) {
        std::printf("  %s to %.0f %% %s\n", control_name(move.control), move.to_pct,
                    when_words(move.when).c_str());
    }
    std::printf("  drop %s\n", when_words(target_.drop).c_str());
    std::printf("The drum is being preheated. First crack is told here, since a model makes no sound.\n\n");
    std::fflush(stdout);
}

void ByHand::wait_for(std::vector<pollfd>& descriptors) const {
    descriptors.push_back({STDIN_FILENO, POLLIN, 0});
}

void ByHand::serve(const std::vector<pollfd>& descriptors, Floor& floor, Trainee& trainee) {
    for (const pollfd& descriptor : descriptors) {
        if (descriptor.fd != STDIN_FILENO || descriptor.revents == 0) continue;
        for (const char key : keyboard_.read_keys()) press(key, floor, trainee);
        if (keyboard_.at_end()) quit_ = true;
    }
    listen(floor);
    show_status(floor, trainee);
}

void ByHand::press(char key, Floor& floor, Trainee& trainee) {
    if (quit_) return;
    switch (key) {
        case 'u':
            return trainee.change(floor, Control::burner, kPress_pct);
        case 'j':
            return trainee.change(floor, Control::burner, -kPress_pct);
        case 'i':
            return trainee.change(floor, Control::airflow, kPress_pct);
        case 'k':
            return trainee.change(floor, Control::airflow, -kPress_pct);
        case 'h':
            return say(kKeys);
        case 'q':
            quit_ = true;
            return;
        case 'c':
            crack_said_ = false;
            return say(trainee.charge(floor) ? "Charged." : "The drum is full already.");
        case 'd':
            if (!trainee.drop(floor)) return say("There is nothing in the drum to drop.");
            ready_said_ = false;
            return say("Dropped.\n\n" + review_text(review_roast(trainee.roast(), target_)));
        default:
            return;
    }
}

void ByHand::listen(const Floor& floor) {
    if (floor.roasting() && floor.first_crack_at_s() && !crack_said_) {
        crack_said_ = true;
        say("You hear the first cracks, at " + minutes(*floor.first_crack_at_s()) +
            ". Mark it on the page now.");
    }
    if (floor.status() == Status::ready_to_charge && !ready_said_) {
        ready_said_ = true;
        say("The drum stands at the charge temperature: charge when you like (c).");
    }
}

void ByHand::say(const std::string& words) const {
    std::printf("%s%s\n", keyboard_.is_terminal() ? "\r\x1b[K" : "", words.c_str());
    std::fflush(stdout);
}

void ByHand::show_status(const Floor& floor, const Trainee& trainee) {
    const bool terminal = keyboard_.is_terminal();
    const auto now = std::chrono::steady_clock::now();
    const bool due = terminal ? now - drawn_ >= kRedraw : floor.sim_ms() - printed_ms_ >= kPrintEvery_ms;
    if (!due) return;
    drawn_ = now;
    printed_ms_ = floor.sim_ms();
    const std::string stage =
        floor.roasting() ? "since charge " + minutes(*floor.since_charge_s()) : "drum empty, preheating";
    const double bean_c = floor.bean_reading_c();
    char bean[32];
    std::snprintf(bean, sizeof bean, std::isfinite(bean_c) ? "%.1f C" : "no reading", bean_c);
    std::printf("%s%s   burner %.0f %%   airflow %.0f %%   bean %s%s", terminal ? "\r\x1b[K" : "",
                stage.c_str(), trainee.burner_pct(), trainee.airflow_pct(), bean, terminal ? "" : "\n");
    std::fflush(stdout);
}

void ByHand::farewell(const Floor& floor) const {
    say(floor.roasting() ? "Broken off with a batch in the drum: no review." : "Good-bye.");
}

}  // namespace drumwatch::simulator
