#include "watch/watch_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <nlohmann/json.hpp>

#include "core/frame_text.hpp"
#include "watch/frame_back.hpp"
#include "watch/watch_text.hpp"

namespace drumwatch {

namespace {

using Json = nlohmann::ordered_json;

constexpr const char* kOpening = "{\"drumwatch_watch\":";
constexpr int kForm = 1;

std::string line(const Json& json) {
    return json.dump(-1, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::string command_line(const Command& command) {
    return line({{"command", Json::parse(command_text(command))},
                 {"who", command.who},
                 {"client_id", command.client_id}});
}

std::string observation_line(const Observation& seen) {
    return line({{"observation",
                  {{"tick_ms", seen.tick.ms},
                   {"health", name(seen.health)},
                   {"index", seen.index},
                   {"bad", seen.bad}}}});
}

Json counts(const WatchFile& file) {
    return {{"frames", file.watch.frames.size()},
            {"commands", file.watch.commands.size()},
            {"observations", file.watch.observations.size()},
            {"journal", file.journal.size()}};
}

Result<Done> take_command(WatchFile& file, const Json& json) {
    auto command = parse_command(json.at("command").dump());
    if (!command) return Error{command.error()};
    command.value().who = json.at("who").get<std::string>();
    command.value().client_id = json.at("client_id").get<std::string>();
    file.watch.commands.push_back(std::move(command.value()));
    return Done{};
}

Result<Done> take_observation(WatchFile& file, const Json& json) {
    const auto seen =
        parse_observation(Tick{json.at("tick_ms").get<std::int64_t>()}, json.at("health").get<std::string>(),
                          json.at("index").get<int>(), json.at("bad").get<bool>());
    if (!seen) return Error{seen.error()};
    file.watch.observations.push_back(seen.value());
    return Done{};
}

Result<Done> take_frame(WatchFile& file, const std::string& text) {
    const auto frame = parse_frame(text);
    if (!frame) return Error{frame.error()};
    const auto& frames = file.watch.frames;
    if (!frames.empty() && frame.value().tick <= frames.back().tick)
        return Error{"a frame is out of its order"};
    file.watch.frames.push_back(frame.value());
    return Done{};
}

/// One line after the first; `ended` once it was the last.
Result<Done> take(WatchFile& file, const std::string& text, bool& ended) {
    const Json json = Json::parse(text);
    if (json.contains("frame")) return take_frame(file, text);
    if (json.contains("command")) return take_command(file, json);
    if (json.contains("observation")) return take_observation(file, json.at("observation"));
    if (json.contains("journal")) {
        file.journal.push_back(json.at("journal").get<std::string>());
        return Done{};
    }
    if (!json.contains("end")) return Error{"it is of no kind that is known here"};
    if (json.at("end") != counts(file)) return Error{"lines are missing before the end"};
    ended = true;
    return Done{};
}

Result<Done> take_first(WatchFile& file, const std::string& text) {
    const Json json = Json::parse(text);
    if (json.at("drumwatch_watch").get<int>() != kForm)
        return Error{fmt::format("this build reads form {} of a watch file", kForm)};
    auto begin = parse_begin(json.at("begin").dump());
    if (!begin) return Error{begin.error()};
    file.watch.begin = std::move(begin.value());
    const auto began = wall_time_from_utc(json.at("began").get<std::string>());
    if (!began) return Error{"\"began\" is no time such as 2026-11-25T10:42:07.250Z"};
    file.began = *began;
    return Done{};
}

}  // namespace

std::string watch_file_text(const WatchFile& file) {
    const RecordedWatch& watch = file.watch;
    std::string text = line({{"drumwatch_watch", kForm},
                             {"began", utc_text(file.began)},
                             {"begin", Json::parse(begin_text(watch.begin))}});
    std::size_t command = 0;
    std::size_t observation = 0;
    const auto tell_until = [&](Tick tick) {
        for (; command < watch.commands.size() && watch.commands[command].tick <= tick; ++command)
            text += command_line(watch.commands[command]);
        for (; observation < watch.observations.size() && watch.observations[observation].tick <= tick;
             ++observation)
            text += observation_line(watch.observations[observation]);
    };
    for (const Frame& frame : watch.frames) {
        tell_until(frame.tick);
        text += frame_text(frame) + "\n";
    }
    tell_until(Tick{std::numeric_limits<std::int64_t>::max()});
    for (const std::string& said : file.journal) text += line({{"journal", said}});
    return text + line({{"end", counts(file)}});
}

bool looks_like_watch_file(const std::string& text) { return text.rfind(kOpening, 0) == 0; }

Result<WatchFile> parse_watch_file(const std::string& text) {
    WatchFile file;
    bool ended = false;
    std::size_t number = 0;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        const std::string one = text.substr(at, end - at);
        at = end + 1;
        ++number;
        const auto failed = [&](const std::string& why) {
            return Error{fmt::format("line {}: {}", number, why)};
        };
        if (ended) return failed("the file goes on after its end");
        try {
            const auto taken = number == 1 ? take_first(file, one) : take(file, one, ended);
            if (!taken) return failed(taken.error());
        } catch (const std::exception& error) {
            return failed(fmt::format("can't be read ({})", error.what()));
        }
    }
    if (!ended) return Error{fmt::format("cut short after line {}: the end is missing", number)};
    return file;
}

}  // namespace drumwatch
