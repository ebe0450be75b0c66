// What people do, from the web thread to the engine and back. A command acts at once; its success is answered
// after its commit, or with 202 while the record is failing. A client id that has been seen gets the first
// answer again and acts no second time. Thread: core, but answers of the recorder come on its thread and are
// posted.
#pragma once

#include <array>
#include <deque>
#include <functional>
#include <optional>
#include <string>

#include "core/command.hpp"
#include "engine/engine.hpp"
#include "service/bookkeeper.hpp"
#include "web/api.hpp"

namespace drumwatch {

class CommandDesk {
  public:
    using Answer = std::function<void(CommandAnswer)>;
    using Post = std::function<void(std::function<void()>)>;
    static constexpr std::size_t kRemembered = 256;  ///< client ids

    CommandDesk(Engine& engine, Bookkeeper& books, std::int64_t tick_ms, Post post);
    void take(Command command, Answer answer);
    /// A command that the record has, of before a restart: a retry of it gets this answer. The oldest first.
    void remember(const std::string& client_id, Refusal given);

  private:
    struct Seen {
        std::string client_id;
        bool answered = false;
        CommandAnswer given;
        std::vector<Answer> waiting;  ///< retries that came before the first answer
    };
    /// The newest change of a milestone by hand.
    struct Change {
        std::uint64_t sequence = 0;  ///< of the first snapshot that shows it
        Tick tick;
        bool withdrawn = false;
        std::string who;
    };
    std::optional<CommandAnswer> changed_meanwhile(const Command& command) const;
    void note_change(const Command& command);
    void forget_one();
    void finish(const std::string& client_id, const CommandAnswer& given, const Answer& answer);

    Engine& engine_;
    Bookkeeper& books_;
    std::int64_t tick_ms_;
    Post post_;
    std::deque<Seen> seen_;
    std::array<Change, kMilestones> changes_{};
};

}  // namespace drumwatch
