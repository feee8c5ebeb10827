#include "sim/policy/why.hpp"

#include <array>

namespace brinecast::sim {

namespace {

constexpr std::array<std::string_view, visit_reason_count> reason_words = {
    "the interval had passed",
    "the owner called",
    "a warning was reported",
    "heavy rain had fallen",
    "it had been hot",
    "many bathers had come",
    "a remote reading was out of its band",
    "the last visit asked for a return",
    "the pool was due to open",
    "the pool was due to close",
    "the winter watch was due",
};

constexpr std::array<std::string_view, fired_rule_count> rule_words = {
    "readings steady: visits further apart",
    "readings drifted: visits closer together",
    "readings in band: test made more rarely",
    "reading out of band: test made at the usual interval again",
    "salt below its limit: topped up by part of the deficit",
    "salt dosed by the unit's own display, not verified",
    "the unit showed little salt, the test found enough: none added",
    "too much dissolved: part of the water drained and refilled",
    "pH above its limit: acid",
    "alkalinity above its limit: acid",
    "alkalinity or pH below its limit: bicarbonate",
    "calcium below its limit: calcium chloride",
    "cyanuric acid below its limit: stabiliser",
    "free chlorine below its limit: liquid chlorine",
    "chlorine balance short: output raised",
    "chlorine balance in surplus: output lowered",
    "output and pump hours by the calendar",
    "water cold: output not raised, the unit would not follow",
    "output near its top: pump hours lengthened",
    "output near its bottom: pump hours shortened",
    "scale seen on the plates: cell cleaned",
    "days since the last cleaning: cell cleaned",
    "operating hours since the last cleaning: cell cleaned",
    "cell voltage risen: cell cleaned",
    "water scale-forming visit after visit: cell cleaned",
    "check-cell lamp lit: cell cleaned",
    "lamp lit, no cause found: unit restarted",
    "lamp lit again and again without a cause in the water: cell replaced",
    "operating hours reached: cell replaced in advance",
    "dose cut to the largest single dose",
    "water not balanced: the unit stays off",
    "water balanced: unit powered",
};

constexpr std::array<std::string_view, shortage_count> shortage_words = {
    "no spare cell left",
    "too little salt on the van",
    "too little acid on the van",
    "too little bicarbonate on the van",
    "too little calcium chloride on the van",
    "too little stabiliser on the van",
    "too little liquid chlorine on the van",
};

template <class Words>
std::string joined(std::uint32_t bits, Words const& table) {
  std::string text;
  for (std::size_t i = 0; i < table.size(); ++i) {
    if ((bits >> i & 1U) == 0) continue;
    if (!text.empty()) text += "; ";
    text += table[i];
  }
  return text;
}

}  // namespace

std::string_view words(VisitReason reason) { return reason_words[static_cast<std::size_t>(reason)]; }
std::string_view words(FiredRule rule) { return rule_words[static_cast<std::size_t>(rule)]; }
std::string_view words(Shortage shortage) { return shortage_words[static_cast<std::size_t>(shortage)]; }
std::string words_of_reasons(std::uint32_t reasons) { return joined(reasons, reason_words); }
std::string words_of_rules(std::uint32_t rules) { return joined(rules, rule_words); }
std::string words_of_shortages(std::uint32_t shortages) { return joined(shortages, shortage_words); }

}  // namespace brinecast::sim
