// Weight and colour that come after the drop: kept in the record, and judged with the verdict that was given.
// They never enter the engine, so that a rerun of the watch still gives the verdict of the roast's row.
// Thread: core; the record is looked into on the query thread.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>

#include "core/clock.hpp"
#include "core/late_facts.hpp"
#include "core/snapshot.hpp"
#include "record/recorder.hpp"
#include "service/late_judgement.hpp"
#include "service/query_desk.hpp"
#include "web/api.hpp"

namespace drumwatch {

class FactsDesk {
  public:
    using Answer = std::function<void(CommandAnswer)>;
    using Post = std::function<void(std::function<void()>)>;

    FactsDesk(Recorder& recorder, QueryDesk& queries, const Clock& clock, Post post);

    /// Answered once the facts are in the record, or with 202 while that is failing.
    void take(FactsGiven given, Answer answer);
    /// The snapshot's last verdict with the facts of its roast; nothing: as it was given.
    std::optional<Verdict> shown(const Snapshot& snapshot);

  private:
    void keep(const FactsGiven& given, Considered considered, const Answer& answer);
    void kept(const FactsGiven& given, const std::string& text, bool committed, const Answer& answer);
    void read_again();

    Recorder& recorder_;
    QueryDesk& queries_;
    const Clock& clock_;
    Post post_;
    std::uint64_t roast_ = 0;  ///< whose facts these are: that of the last verdict
    LateFacts facts_;
};

}  // namespace drumwatch
