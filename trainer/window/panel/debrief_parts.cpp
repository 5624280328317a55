#include "trainer/window/panel/debrief_parts.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "trainer/window/panel/ids.h"
#include "trainer/window/panel/marks.h"
#include "trainer/window/view/words.h"

namespace wetrun::ui {
namespace {

/// A cross of two strokes.
void draw_cross(ImDrawList& list, Point m, float size, ImU32 colour, float thick) {
  const float r = size / 2;
  list.AddLine({m.x - r, m.y - r}, {m.x + r, m.y + r}, colour, thick);
  list.AddLine({m.x - r, m.y + r}, {m.x + r, m.y - r}, colour, thick);
}

void draw_octagon(ImDrawList& list, Point m, float size, ImU32 colour) {
  const float r = size / 2, cut = r * 0.414F;  // tan 22.5 degrees
  const std::array<ImVec2, 8> corners = {{{m.x - cut, m.y - r},
                                          {m.x + cut, m.y - r},
                                          {m.x + r, m.y - cut},
                                          {m.x + r, m.y + cut},
                                          {m.x + cut, m.y + r},
                                          {m.x - cut, m.y + r},
                                          {m.x - r, m.y + cut},
                                          {m.x - r, m.y - cut}}};
  list.AddConvexPolyFilled(corners.data(), 8, colour);
}

}  // namespace

void DebriefParts::log(const std::string& name, const Box& box) {
  const ImVec2 low = ImGui::GetWindowDrawList()->GetClipRectMin(), high = ImGui::GetWindowDrawList()->GetClipRectMax();
  const bool out = box.y0 < low.y - 1 || box.y1 > high.y + 1;
  kit_.boxes->add(BoxKind::button, name, box, {low.x, low.y, high.x, high.y}, out);
}

void DebriefParts::words(Type type, const std::string& text, ImU32 colour, const std::string& name) {
  paragraph(kit_, type, text, colour, name);
}

void DebriefParts::verdict_sign(Point middle, float size, bool passed) {
  ImDrawList& list = *ImGui::GetWindowDrawList();
  if (passed) {
    list.AddCircleFilled(vec(middle), size / 2, kit_.colour.hand, 48);
    draw_tick(list, middle, size * 0.56F, kit_.colour.sheet, kit_.px(4));
  } else {
    draw_octagon(list, middle, size, kit_.colour.alarm);
    draw_cross(list, middle, size * 0.36F, kit_.colour.sheet, kit_.px(4));
  }
}

void DebriefParts::score_bar(double score, int needed, bool passed) {
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float wide = ImGui::GetContentRegionAvail().x, high = kit_.px(8), over = kit_.px(4);
  const auto x = [&](double points) { return at.x + wide * static_cast<float>(std::clamp(points, 0.0, 100.0) / 100); };
  ImDrawList& list = *ImGui::GetWindowDrawList();
  const float top = at.y + over;
  list.AddRectFilled({at.x, top}, {at.x + wide, top + high}, kit_.colour.sheet_shade, kit_.px(1.5F));
  const double shown = std::isfinite(score) ? score : 0;
  if (shown > 0)
    list.AddRectFilled({at.x, top}, {x(shown), top + high}, passed ? kit_.colour.hand : kit_.colour.alarm,
                       kit_.px(1.5F));
  const float mark = std::round(x(needed)), thick = kit_.px(1.6F);
  list.AddRectFilled({mark - thick / 2, at.y}, {mark + thick / 2, top + high + over}, kit_.colour.ink);
  ImGui::Dummy({wide, high + 2 * over});
}

void DebriefParts::heading(const std::string& words) {
  gap(kit_, 14);
  paragraph(kit_, Type::small, words, kit_.colour.ink_soft);
  gap(kit_, 5);
}

bool DebriefParts::tab(const std::string& name, const std::string& label, bool chosen) {
  const ImVec2 words = measure(kit_, Type::strong, label);
  const ImVec2 size{words.x + 2 * kit_.px(10), words.y + kit_.px(14)};
  const ImVec2 at = ImGui::GetCursorScreenPos();
  push_id(name);
  const bool pressed = ImGui::InvisibleButton("##tab", size);
  ImGui::PopID();
  const bool hovered = ImGui::IsItemHovered();
  if (hovered) ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
  ImDrawList& list = *ImGui::GetWindowDrawList();
  if (hovered && !chosen)
    list.AddRectFilled(at, {at.x + size.x, at.y + size.y}, fade(kit_.colour.sheet_shade, 0.7F), kit_.px(3));
  const Type type = chosen ? Type::strong : Type::body;
  put_text(kit_, list, type, {at.x + size.x / 2, at.y + (size.y - words.y) / 2},
           chosen ? kit_.colour.hand : kit_.colour.ink, label, Align::middle, name + "/label");
  if (chosen)
    list.AddRectFilled({at.x, at.y + size.y - kit_.px(2)}, {at.x + size.x, at.y + size.y + kit_.px(1)},
                       kit_.colour.hand);
  log(name, {at.x, at.y, at.x + size.x, at.y + size.y});
  return pressed;
}

float DebriefParts::clock_width() const {
  const double longest_s = stage_.debrief != nullptr ? stage_.debrief->duration_s : 0;
  return measure(kit_, Type::strong, clock_text(std::max(longest_s, 600.0))).x + kit_.px(12);
}

bool DebriefParts::moment(const std::string& name, double time_s, const std::string& words, Type type) {
  const float left = clock_width(), pad = kit_.px(2.5F), wide = ImGui::GetContentRegionAvail().x;
  const float wrap = std::max(kit_.px(40), wide - left);
  const ImVec2 size = measure(kit_, type, words, wrap);
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float high = std::max(size.y, kit_.font(Type::strong)->FontSize) + 2 * pad;
  ImGui::PushStyleVar(ImGuiStyleVar_ItemSpacing, ImVec2(0, kit_.px(1)));
  push_id(name);
  const bool pressed = ImGui::InvisibleButton("##moment", {wide, high});
  ImGui::PopID();
  ImGui::PopStyleVar();
  log(name, {at.x, at.y, at.x + wide, at.y + high});
  if (pressed) stage_.requests.push_back(request::ShowInstant{time_s});
  if (!ImGui::IsItemVisible()) return pressed;
  const bool hovered = ImGui::IsItemHovered();
  const bool shown = !stage_.live && std::abs(stage_.frame.time_s - time_s) < 0.6;
  if (hovered) ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
  ImDrawList& list = *ImGui::GetWindowDrawList();
  if (hovered || shown)
    list.AddRectFilled({at.x - kit_.px(5), at.y}, {at.x + wide, at.y + high},
                       shown ? kit_.colour.hand_soft : kit_.colour.sheet_shade, kit_.px(3));
  const std::string clock = clock_text(std::round(time_s));  // as in the report
  put_text(kit_, list, Type::strong, {at.x, at.y + pad}, kit_.colour.hand, clock);
  const float line = std::floor(at.y + pad + kit_.font(Type::strong)->FontSize - kit_.px(1));
  list.AddRectFilled({at.x, line}, {at.x + measure(kit_, Type::strong, clock).x, line + std::max(1.0F, kit_.px(0.8F))},
                     fade(kit_.colour.hand, hovered ? 1.0F : 0.35F));
  put_text(kit_, list, type, {at.x + left, at.y + pad}, kit_.colour.ink, words, Align::left, name + "/words", wrap);
  return pressed;
}

bool DebriefParts::rule_row(const std::string& name, const std::string& title, const std::string& points,
                            const std::string& tag, bool met, bool open) {
  const float sign = kit_.px(15), left = kit_.px(25), pad = kit_.px(5), wide = ImGui::GetContentRegionAvail().x;
  const float right = measure(kit_, Type::body, points).x;
  const float wrap = std::max(kit_.px(40), wide - left - right - kit_.px(14));
  const Type type = met ? Type::body : Type::strong;
  const ImVec2 words = measure(kit_, type, title, wrap);
  const ImVec2 below = tag.empty() ? ImVec2{0, 0} : measure(kit_, Type::small, tag, wide - left);
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float high = words.y + below.y + 2 * pad;
  ImGui::PushStyleVar(ImGuiStyleVar_ItemSpacing, ImVec2(0, 0));
  push_id(name);
  const bool pressed = ImGui::InvisibleButton("##rule", {wide, high});
  ImGui::PopID();
  ImGui::PopStyleVar();
  log(name, {at.x, at.y, at.x + wide, at.y + high});
  if (!ImGui::IsItemVisible()) return pressed;
  ImDrawList& list = *ImGui::GetWindowDrawList();
  if (ImGui::IsItemHovered()) {
    ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
    list.AddRectFilled({at.x - kit_.px(5), at.y}, {at.x + wide, at.y + high}, kit_.colour.sheet_shade, kit_.px(3));
  }
  const Point middle{at.x + sign / 2, at.y + pad + kit_.font(type)->FontSize / 2};
  if (met) {
    list.AddCircle(vec(middle), sign / 2 - kit_.px(0.6F), kit_.colour.hand, 32, kit_.px(1.2F));
    draw_tick(list, middle, sign * 0.56F, kit_.colour.hand, kit_.px(1.6F));
  } else {
    draw_octagon(list, middle, sign, kit_.colour.alarm);
    draw_cross(list, middle, sign * 0.36F, kit_.colour.sheet, kit_.px(1.7F));
  }
  put_text(kit_, list, type, {at.x + left, at.y + pad}, kit_.colour.ink, title, Align::left, name + "/title", wrap);
  put_text(kit_, list, Type::body, {at.x + wide, at.y + pad}, met ? kit_.colour.ink_soft : kit_.colour.ink, points,
           Align::right, name + "/points");
  if (!tag.empty())
    put_text(kit_, list, Type::small, {at.x + left, at.y + pad + words.y},
             met ? kit_.colour.ink_soft : kit_.colour.alarm, tag, Align::left, name + "/tag", wide - left);
  if (open) list.AddRectFilled({at.x + left, at.y + high - kit_.px(1)}, {at.x + wide, at.y + high}, kit_.colour.rule);
  return pressed;
}

bool DebriefParts::link(const std::string& name, const std::string& words, bool alarm) {
  const float wide = ImGui::GetContentRegionAvail().x;
  const ImVec2 size = measure(kit_, Type::small, words, wide);
  const ImVec2 at = ImGui::GetCursorScreenPos();
  push_id(name);
  const bool pressed = ImGui::InvisibleButton("##link", {std::max(1.0F, size.x), size.y + kit_.px(3)});
  ImGui::PopID();
  const bool hovered = ImGui::IsItemHovered();
  if (hovered) ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
  const ImU32 colour = alarm ? kit_.colour.alarm : kit_.colour.hand;
  ImDrawList& list = *ImGui::GetWindowDrawList();
  put_text(kit_, list, Type::small, {at.x, at.y}, colour, words, Align::left, "", wide);
  const float line = std::floor(at.y + size.y + kit_.px(0.5F));
  list.AddRectFilled({at.x, line}, {at.x + size.x, line + std::max(1.0F, kit_.px(0.8F))},
                     fade(colour, hovered ? 1.0F : 0.35F));
  log(name, {at.x, at.y, at.x + size.x, at.y + size.y + kit_.px(3)});
  return pressed;
}

void DebriefParts::sparkline(const std::string& name, const Box& place, const HiddenResult& hidden) {
  const Film& film = stage_.film;
  if (film.empty() || !hidden.signal.valid() || hidden.signal.index() >= film.frame(0).value.size()) return;
  ImGui::SetCursorScreenPos({place.x0, place.y0});
  push_id(name);
  const bool pressed = ImGui::InvisibleButton("##plot", {place.width(), place.height()});
  ImGui::PopID();
  log(name, place);
  const double start_s = film.start_s(), span_s = std::max(1.0, film.end_s() - start_s);
  if (pressed) {
    const float share = std::clamp((ImGui::GetIO().MousePos.x - place.x0) / place.width(), 0.0F, 1.0F);
    stage_.requests.push_back(request::ShowInstant{start_s + span_s * static_cast<double>(share)});
  }
  if (!ImGui::IsItemVisible()) return;
  ImDrawList& list = *ImGui::GetWindowDrawList();
  if (ImGui::IsItemHovered()) {
    ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
    list.AddRectFilled({place.x0, place.y0}, {place.x1, place.y1}, fade(kit_.colour.sheet_shade, 0.6F));
  }
  const double range = hidden.max - hidden.min;
  const float pad = kit_.px(3);
  const auto x = [&](double time_s) {
    return place.x0 + place.width() * static_cast<float>(std::clamp((time_s - start_s) / span_s, 0.0, 1.0));
  };
  const auto y = [&](double value) {
    const double share = range > 0 && std::isfinite(range) ? std::clamp((value - hidden.min) / range, 0.0, 1.0) : 0.5;
    return place.y1 - pad - (place.height() - 2 * pad) * static_cast<float>(share);
  };
  list.AddRectFilled({place.x0, place.y1 - 1}, {place.x1, place.y1}, kit_.colour.rule);
  // One reading a column, and the extremes themselves, which may lie between columns.
  const int columns = std::max(2, static_cast<int>(place.width() / kit_.px(1)));
  std::vector<double> times = {hidden.min_s, hidden.max_s};
  for (int i = 0; i <= columns; ++i) times.push_back(start_s + span_s * i / columns);
  std::sort(times.begin(), times.end());
  std::vector<ImVec2> points;
  for (const double time_s : times) {
    const double value = film.frame(film.index_at(time_s))[hidden.signal];
    if (std::isfinite(value)) points.push_back({x(time_s), y(value)});
  }
  list.AddPolyline(points.data(), static_cast<int>(points.size()), kit_.colour.pen[0], 0, kit_.px(1.4F));
  if (range > 0)
    for (const auto& [time_s, value] : {std::pair{hidden.min_s, hidden.min}, {hidden.max_s, hidden.max}})
      list.AddCircleFilled({x(time_s), y(value)}, kit_.px(2.2F), kit_.colour.ink, 16);
  if (!stage_.live) {
    const float now = std::round(x(stage_.frame.time_s));
    list.AddRectFilled({now, place.y0}, {now + std::max(1.0F, kit_.px(1)), place.y1}, fade(kit_.colour.hand, 0.6F));
  }
}

}  // namespace wetrun::ui
