#include "alarms/prompt_chimes.hpp"

#include <algorithm>

namespace drumwatch {

namespace {

bool chimes(PromptKind kind) {
    return kind == PromptKind::move_due || kind == PromptKind::first_crack_near ||
           kind == PromptKind::drop_near;
}

}  // namespace

bool PromptChimes::look(const Snapshot& now) {
    const std::uint64_t roast = now.roast ? now.roast->id : 0;
    if (roast != roast_) said_.clear();
    roast_ = roast;
    bool due = false;
    for (const PromptView& prompt : now.prompts) {
        if (!chimes(prompt.kind) || !prompt.in_s || *prompt.in_s > kChimeAhead_s) continue;
        const std::pair one{prompt.kind, prompt.planned};
        if (std::find(said_.begin(), said_.end(), one) != said_.end()) continue;
        said_.push_back(one);
        due = true;
    }
    return due;
}

}  // namespace drumwatch
