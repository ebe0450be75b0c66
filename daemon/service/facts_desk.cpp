#include "service/facts_desk.hpp"

#include <spdlog/spdlog.h>

#include <utility>

#include "roast/verdict/late_facts.hpp"
#include "service/late_judgement.hpp"

namespace drumwatch {

FactsDesk::FactsDesk(Recorder& recorder, QueryDesk& queries, const Clock& clock, Post post)
    : recorder_(recorder), queries_(queries), clock_(clock), post_(std::move(post)) {}

void FactsDesk::take(FactsGiven given, Answer answer) {
    queries_.look([this, post = post_, now = clock_.wall(), given = std::move(given),
                   answer = std::move(answer)](RecordReader* reader, const std::string& why_not) {
        Considered considered = reader ? consider(*reader, given, now) : Considered{500, why_not, {}};
        post([this, given, considered = std::move(considered), answer] { keep(given, considered, answer); });
    });
}

void FactsDesk::keep(const FactsGiven& given, Considered considered, const Answer& answer) {
    if (considered.status != 200) return answer({considered.status, true, considered.text});
    recorder_.append(std::move(considered.rows),
                     [this, post = post_, given, text = std::move(considered.text), answer](bool committed) {
                         post([=, this] { kept(given, text, committed, answer); });
                     });
}

void FactsDesk::kept(const FactsGiven& given, const std::string& text, bool committed, const Answer& answer) {
    spdlog::info("{}{}", text, given.who.empty() ? "" : " (" + given.who + ")");
    if (given.roast == roast_ && committed) read_again();
    if (given.roast == roast_ && !committed) {
        for (const FactGiven& fact : given.facts)
            drumwatch::take(facts_, late_kind_from_name(fact.kind).value(), fact.value);
    }
    if (committed) return answer({200, true, text});
    answer({202, false, text + " It is not in the record yet: that is failing and will be tried again."});
}

/// Of the record, which has them in the order in which they were said.
void FactsDesk::read_again() {
    queries_.look([this, post = post_, roast = roast_](RecordReader* reader, const std::string&) {
        if (!reader) return;
        const auto facts = facts_of(*reader, roast);
        if (!facts) return;
        post([this, roast, found = facts.value()] {
            if (roast == roast_) facts_ = found;
        });
    });
}

std::optional<Verdict> FactsDesk::shown(const Snapshot& snapshot) {
    if (!snapshot.last_verdict) return std::nullopt;
    const VerdictView& view = *snapshot.last_verdict;
    if (view.verdict.roast != roast_) {  // a new one, or the first after a start
        roast_ = view.verdict.roast;
        facts_ = {};
        read_again();
    }
    if (!view.target || (!facts_.roasted_kg && !facts_.colour)) return std::nullopt;
    return with_late_facts(view.verdict, facts_, *view.target);
}

}  // namespace drumwatch
