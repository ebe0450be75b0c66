// Plays a site's command, such as a player for a sound file: one run at a time, with a limit. Not
// thread-safe; only start() and the end of the object wait (command_process.hpp). Time is what the caller
// says: any steady milliseconds.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/alarm.hpp"
#include "core/result.hpp"
#include "sounders/command_process.hpp"

namespace drumwatch {

struct CommandResult {
    enum class How : std::uint8_t {
        exited,      ///< by itself; `code` is its status
        signalled,   ///< by somebody else's signal; `code` names it
        limit,       ///< it took too long and was ended
        called_off,  ///< we ended it
        not_started,
    };
    How how = How::exited;
    int code = 0;
    std::string sentence;  ///< why it is no success, for a person; empty if it is one
    bool failed() const { return !sentence.empty(); }
};

class CommandSounder {
  public:
    /// How long after SIGTERM a group that is still there gets SIGKILL.
    static constexpr std::int64_t kGrace_ms = 1'000;

    CommandSounder(std::vector<std::string> command, std::int64_t limit_ms, int voice = 1);
    /// Calls off what runs, gives it its grace in real time, kills it.
    ~CommandSounder();
    CommandSounder(const CommandSounder&) = delete;
    CommandSounder& operator=(const CommandSounder&) = delete;

    bool running() const { return process_ != nullptr; }
    /// Only when nothing runs. Gives a result only if it could not be started.
    std::optional<CommandResult> start(Priority priority, std::int64_t now_ms);
    /// Asks the group to end (SIGTERM), if one runs.
    void call_off(std::int64_t now_ms);
    /// To be called every so often while it runs; gives the result once it has ended.
    std::optional<CommandResult> step(std::int64_t now_ms);

  private:
    CommandResult judge(CommandProcess::End end, const std::string& words) const;

    std::vector<std::string> command_;
    std::int64_t limit_ms_;
    int voice_;
    std::unique_ptr<CommandProcess> process_;
    std::int64_t began_ms_ = 0;
    std::optional<std::int64_t> asked_to_end_ms_;
    bool over_limit_ = false;
};

}  // namespace drumwatch
