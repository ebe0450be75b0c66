#include "service/target_desk.hpp"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <utility>

#include "files/target_doubts.hpp"
#include "roast/forecast/learning.hpp"

namespace drumwatch {

namespace {

constexpr const char* kWho = "the configuration";

}  // namespace

TargetDesk::TargetDesk(Engine& engine, CommandDesk& commands, QueryDesk& queries, Recorder& recorder,
                       const Clock& clock, std::vector<OfferedTarget> offered)
    : engine_(engine),
      commands_(commands),
      queries_(queries),
      recorder_(recorder),
      clock_(clock),
      offered_(std::move(offered)) {}

void TargetDesk::store() { store_targets(recorder_, offered_, clock_.wall()); }

void TargetDesk::remember_lessons() {
    if (const TargetPtr now = engine_.target()) remember(offered_, *now, engine_.lessons());
}

void TargetDesk::choose(const std::string& name, const std::string& who, const std::string& client_id,
                        CommandDesk::Answer answer) {
    remember_lessons();
    Command command;
    command.kind = CommandKind::choose_target;
    command.who = who;
    command.client_id = client_id;
    if (!name.empty()) {
        const OfferedTarget* offered = find_target(offered_, name);
        if (!offered) {
            return answer(
                {404, true, fmt::format("there is no target called \"{}\": choose one of the list", name)});
        }
        if (offered->target->status == TargetStatus::retired) {
            return answer(
                {409, true, fmt::format("the target \"{}\" is retired: choose another of the list", name)});
        }
        for (const std::string& sentence : sentences_about(*offered->target, name))
            spdlog::warn("chosen target {}", sentence);
        command.target = offered->target;
        command.lessons = offered->lessons;
    }
    commands_.take(std::move(command), std::move(answer));
}

void TargetDesk::take_over(std::vector<OfferedTarget> offered) {
    offered_ = std::move(offered);
    remember_lessons();
    store();
    queries_.offer(target_rows(offered_, clock_.wall()));
    changed_ = true;
    tick(engine_.snapshot());
}

void TargetDesk::doubt_lessons(const std::string& who) {
    remember_lessons();
    for (OfferedTarget& offered : offered_) offered.lessons = doubted(offered.lessons);
    Command command;  // the same target again, with what is believed of it now
    command.kind = CommandKind::choose_target;
    command.who = who;
    command.target = engine_.target();
    command.lessons = doubted(engine_.lessons());
    commands_.take(std::move(command), [](const CommandAnswer&) {});
}

void TargetDesk::tick(const Snapshot& now) {
    if (!changed_ || now.roast) return;
    changed_ = false;
    const TargetPtr followed = engine_.target();
    const OfferedTarget* offered = followed ? find_target(offered_, followed->name) : nullptr;
    if (!offered) return;
    const Target& target = *offered->target;
    const bool retired = target.status == TargetStatus::retired;
    if (!retired && target.version == followed->version && target.status == followed->status) return;
    spdlog::info(
        "{}", retired ? fmt::format("target {} is retired: none is followed until one is chosen", target.name)
                      : fmt::format("target {}: version {}, {}, is followed from now on", target.name,
                                    target.version, name(target.status)));
    choose(retired ? "" : target.name, kWho, "", [](const CommandAnswer&) {});
}

}  // namespace drumwatch
