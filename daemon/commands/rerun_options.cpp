#include "commands/rerun_options.hpp"

#include <fmt/format.h>

#include "commands/commands.hpp"
#include "commands/complaint.hpp"
#include "commands/configuration.hpp"
#include "commands/target_file.hpp"
#include "files/lessons_json.hpp"
#include "files/target_json.hpp"

namespace drumwatch {

int gather(const RerunSources& from, RerunOptions& options) {
    Tolerance defaults;
    if (!from.config.empty()) {
        const auto [config, code] = load_configuration(from.config);
        if (!config) return code;
        options.alarms = config->alarms;
        options.tick_ms = config->tick_ms;
        defaults = config->verdict;
    }
    if (!from.lessons.empty()) {
        auto lessons = read_lessons(from.lessons);
        if (!lessons) return complain(lessons.error());
        options.lessons = lessons.value();
    }
    if (from.target.empty()) return kDone;
    auto target = read_target(from.target, defaults);
    if (!target) return complain(target.error());
    say_doubts(target.value(), from.target);
    options.target = std::make_shared<const Target>(std::move(target.value()));
    return kDone;
}

}  // namespace drumwatch
