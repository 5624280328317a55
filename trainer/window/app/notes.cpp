#include "trainer/window/app/notes.h"

#include <algorithm>

namespace wetrun::ui {
namespace {

void put_sheet(const Kit& kit, ImDrawList& list, const Box& place, ImU32 fill) {
  list.AddRectFilled({place.x0 + kit.px(2), place.y0 + kit.px(3)}, {place.x1 + kit.px(2), place.y1 + kit.px(3)},
                     fade(kit.colour.ink, 0.18F), kit.px(4));
  list.AddRectFilled({place.x0, place.y0}, {place.x1, place.y1}, fill, kit.px(4));
  list.AddRect({place.x0, place.y0}, {place.x1, place.y1}, kit.colour.rule, kit.px(4), 0, kit.px(1));
}

}  // namespace

void progress_note(Kit& kit, const Box& screen, const std::string& words, double share) {
  ImDrawList& list = *ImGui::GetForegroundDrawList();
  const Point middle = screen.middle();
  const Box place{middle.x - kit.px(170), middle.y - kit.px(38), middle.x + kit.px(170), middle.y + kit.px(38)};
  kit.boxes->push_layer("note");
  put_sheet(kit, list, place, kit.colour.sheet);
  put_text(kit, list, Type::strong, {middle.x, place.y0 + kit.px(14)}, kit.colour.ink, words, Align::middle,
           "note/words");
  const float left = place.x0 + kit.px(24), right = place.x1 - kit.px(24), y = place.y1 - kit.px(24);
  list.AddRectFilled({left, y}, {right, y + kit.px(6)}, kit.colour.sheet_shade, kit.px(3));
  list.AddRectFilled({left, y},
                     {left + (right - left) * static_cast<float>(std::clamp(share, 0.0, 1.0)), y + kit.px(6)},
                     kit.colour.hand, kit.px(3));
  kit.boxes->pop_layer();
}

void line_note(Kit& kit, const Box& screen, const std::string& words) {
  ImDrawList& list = *ImGui::GetForegroundDrawList();
  const float wrap = std::min(kit.px(720), screen.width() - kit.px(80));
  const ImVec2 size = measure(kit, Type::body, words, wrap);
  const float middle = screen.middle().x, top = screen.y0 + kit.px(60);
  const Box place{middle - size.x / 2 - kit.px(44), top, middle + size.x / 2 + kit.px(18), top + size.y + kit.px(20)};
  kit.boxes->push_layer("note");
  put_sheet(kit, list, place, kit.colour.caution_soft);
  const Point mark{place.x0 + kit.px(22), place.middle().y};
  list.AddTriangleFilled({mark.x, mark.y - kit.px(9)}, {mark.x + kit.px(10), mark.y + kit.px(8)},
                         {mark.x - kit.px(10), mark.y + kit.px(8)}, kit.colour.caution);
  put_text(kit, list, Type::strong, {mark.x, mark.y - kit.px(8)}, kit.colour.sheet, "!", Align::middle);
  put_text(kit, list, Type::body, {place.x0 + kit.px(40), top + kit.px(10)}, kit.colour.ink, words, Align::left,
           "note/line", wrap);
  kit.boxes->pop_layer();
}

}  // namespace wetrun::ui
