// The targets that can be chosen, and the one that the engine follows. Thread: core.
#pragma once

#include <string>
#include <vector>

#include "service/command_desk.hpp"
#include "service/query_desk.hpp"
#include "service/targets.hpp"

namespace drumwatch {

class TargetDesk {
  public:
    TargetDesk(Engine& engine, CommandDesk& commands, QueryDesk& queries, Recorder& recorder,
               const Clock& clock, std::vector<OfferedTarget> offered);

    /// Into the record, each version that it does not have.
    void store();
    /// By name; empty: none. Answered as a command, 404 or 409.
    void choose(const std::string& name, const std::string& who, const std::string& client_id,
                CommandDesk::Answer answer);
    /// The files were read again. What is followed and says something else now is followed in its new
    /// version, or not at all once it is retired: with an empty drum, never in a roast.
    void take_over(std::vector<OfferedTarget> offered);
    /// What was learned of the bean probe's temperatures counts for little from now on.
    void doubt_lessons(const std::string& who);
    /// After each tick.
    void tick(const Snapshot& now);

  private:
    void remember_lessons();

    Engine& engine_;
    CommandDesk& commands_;
    QueryDesk& queries_;
    Recorder& recorder_;
    const Clock& clock_;
    std::vector<OfferedTarget> offered_;
    bool changed_ = false;  ///< what the engine follows may not be what is offered under its name
};

}  // namespace drumwatch
