#include "files/target_doubts.hpp"

#include <fmt/format.h>

#include "core/target_words.hpp"
#include "roast/target/self_check.hpp"

namespace drumwatch {

std::vector<std::string> sentences_about(const Target& target, const std::string& path) {
    std::vector<std::string> sentences;
    for (const TargetDoubt& doubt : doubts_about(target)) {
        const std::string sentence = fmt::format("{}: {}", place(doubt), words(doubt, target));
        sentences.push_back(path.empty() ? sentence : path + ": " + sentence);
    }
    return sentences;
}

}  // namespace drumwatch
