#include "sim/scenario/shown_text.hpp"

#include <fmt/format.h>

#include "sim/scenario/limits.hpp"

namespace brinecast::sim {

namespace {

/// Bytes of the UTF-8 character that the text begins with; 0 when it begins with none.
std::size_t first_character_bytes(std::string_view text) {
  auto const lead = static_cast<unsigned char>(text.front());
  std::size_t const length = lead < 0x80 ? 1 : lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
  if (lead >= 0xF5 || (lead >= 0x80 && lead < 0xC2) || length > text.size()) return 0;
  for (char const c : text.substr(1, length - 1)) {
    if ((static_cast<unsigned char>(c) & 0xC0U) != 0x80U) return 0;
  }
  return length;
}

bool is_control(std::string_view character) {
  auto const lead = static_cast<unsigned char>(character.front());
  if (character.size() == 1) return lead < 0x20 || lead == 0x7f;
  return lead == 0xC2 && static_cast<unsigned char>(character[1]) < 0xA0;
}

}  // namespace

bool valid_utf8(std::string_view text) {
  while (!text.empty()) {
    std::size_t const length = first_character_bytes(text);
    if (length == 0) return false;
    text.remove_prefix(length);
  }
  return true;
}

bool holds_control(std::string_view text) {
  while (!text.empty()) {
    std::size_t const length = first_character_bytes(text);
    if (length > 0 && is_control(text.substr(0, length))) return true;
    text.remove_prefix(length > 0 ? length : 1);
  }
  return false;
}

std::string printable(std::string_view text) {
  std::string out;
  while (!text.empty()) {
    std::size_t const length = first_character_bytes(text);
    std::string_view const character = text.substr(0, length > 0 ? length : 1);
    if (length > 0 && !is_control(character)) {
      out += character;
    } else {
      for (char const c : character) out += fmt::format("\\x{:02x}", static_cast<unsigned char>(c));
    }
    text.remove_prefix(character.size());
  }
  return out;
}

std::string name_problem(std::string_view name) {
  if (name.empty()) return "the name is empty; write one";
  if (holds_control(name)) return "the text holds control characters; write it on one line";
  if (name.size() > longest_text_bytes) {
    return fmt::format("the text has more than {} bytes; shorten it", longest_text_bytes);
  }
  if (name.front() == ' ' || name.back() == ' ') return "the name begins or ends with a blank; remove it";
  return "";
}

}  // namespace brinecast::sim
