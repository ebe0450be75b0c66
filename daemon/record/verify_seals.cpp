#include "record/verify_seals.hpp"

#include <fmt/format.h>

#include <map>
#include <set>

#include "record/seal.hpp"

namespace drumwatch {
namespace {

constexpr std::size_t kClueBytes = 4;

std::multiset<std::string> clues_in(const std::string& bytes) {
    std::multiset<std::string> clues;
    for (std::size_t at = 0; at + kClueBytes <= bytes.size(); at += kClueBytes)
        clues.insert(bytes.substr(at, kClueBytes));
    return clues;
}

/// What is there and has no clue was changed or added; clues that are left over belong to what is changed or
/// gone.
std::string difference(const Seal& seal, const std::vector<SealedItem>& items) {
    auto clues = clues_in(seal.clues);
    std::string named;
    std::size_t strange = 0;
    for (const SealedItem& item : items) {
        const auto clue = clues.find(std::string(item.digest.begin(), item.digest.begin() + kClueBytes));
        if (clue != clues.end()) {
            clues.erase(clue);
            continue;
        }
        named += (strange == 0 ? "" : ", ") + item.name;
        ++strange;
    }
    if (strange == 0 && clues.empty()) return "the order of its rows was changed";
    if (strange == 0) return fmt::format("{} of its rows taken away", clues.size());
    if (clues.empty()) return fmt::format("added: {}", named);
    std::string text = fmt::format("{}: {}", clues.size() >= strange ? "changed" : "changed or added", named);
    if (clues.size() > strange) text += fmt::format("; {} of its rows taken away", clues.size() - strange);
    return text;
}

class Chain {
  public:
    Chain(Database& database, const VerifyOrder& order, VerifyFound& found,
          const std::function<void(std::string)>& say)
        : database_(database), order_(order), found_(found), say_(say) {}

    void walk() {
        const auto done =
            each_row(database_, "SELECT id, roast, made_at, facts, clues, link FROM seals ORDER BY id",
                     [this](const Statement& row) { take(seal_from(row)); });
        if (!done) say_("the seals can't be read: " + done.error());
        if (!noted_found_) {
            say_(fmt::format(
                "no seal has the link that was noted ({}): the chain was made anew, or the noted one "
                "is of another record",
                order_.noted_link));
        }
    }

    void roasts() {
        std::uint64_t done = 0;
        for (const auto& [roast, seal] : last_) {
            look(roast, seal);
            if (order_.progress) order_.progress(++done, last_.size());
        }
    }

    /// Seals are made in the order of the roasts, so that only the newest ones may have none yet.
    void unsealed() {
        const std::uint64_t newest = last_.empty() ? 0 : last_.rbegin()->first;
        const auto done =
            each_row(database_, "SELECT id FROM roasts WHERE id NOT IN (SELECT roast FROM seals)",
                     [&](const Statement& row) {
                         ++found_.unsealed;
                         if (row.id(0) < newest)
                             say_(
                                 fmt::format("roast {} has no seal, but later ones have: it was "
                                             "added afterwards",
                                             row.id(0)));
                     });
        if (!done) say_("the roasts can't be read: " + done.error());
    }

  private:
    void take(const Seal& seal) {
        ++found_.seals;
        const std::uint64_t expected = newest_ + 1;
        if (seal.id != expected) {
            say_(seal.id == expected + 1
                     ? fmt::format("seal {} was taken away", expected)
                     : fmt::format("seals {} to {} were taken away", expected, seal.id - 1));
        } else if (seal.link != link_of(seal, found_.newest_link)) {
            say_(fmt::format("seal {}, of roast {}, was changed", seal.id, seal.roast));
        }
        newest_ = seal.id;
        found_.newest_link = seal.link;
        noted_found_ = noted_found_ || seal.link.starts_with(order_.noted_link);
        last_[seal.roast] = seal;
    }

    void look(std::uint64_t roast, const Seal& seal) {
        const auto items = sealed_items(database_, roast);
        if (!items) return say_(fmt::format("roast {} can't be read: {}", roast, items.error()));
        if (items.value().empty())
            return say_(fmt::format("roast {} was taken away; it was sealed {}", roast, utc_text(seal.made)));
        const Seal now = make_seal(seal.id, roast, seal.made, items.value(), {});
        if (now.facts == seal.facts && now.clues == seal.clues) return;
        say_(fmt::format("roast {} is not as it was sealed {} (seal {}): {}", roast, utc_text(seal.made),
                         seal.id, difference(seal, items.value())));
    }

    Database& database_;
    const VerifyOrder& order_;
    VerifyFound& found_;
    const std::function<void(std::string)>& say_;
    std::map<std::uint64_t, Seal> last_;
    std::uint64_t newest_ = 0;
    bool noted_found_ = order_.noted_link.empty();
};

}  // namespace

void verify_seals(Database& database, const VerifyOrder& order, VerifyFound& found,
                  const std::function<void(std::string)>& say) {
    const auto there = database.number("SELECT count(*) FROM sqlite_schema WHERE name='seals'");
    if (!there || there.value() == 0) {  // a backup from before there were seals
        found.unsealed = found.roasts;
        return;
    }
    Chain chain(database, order, found, say);
    chain.walk();
    chain.roasts();
    chain.unsealed();
}

}  // namespace drumwatch
