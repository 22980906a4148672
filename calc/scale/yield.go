package scale

import (
	"fmt"

	"tamis/calc/quantity"
)

// share checks a yield or a food-cost share: above 0, at most most (0: no limit).
func share(what string, s, most quantity.Number) error {
	if s.Sign() <= 0 || (most.Sign() > 0 && most.Less(s)) {
		return fmt.Errorf("%s of %s: %w", what, s, ErrRange)
	}
	return nil
}

// Yield returns usable ÷ purchased, or cooked ÷ raw.
//
//   - Units: both in one unit; the result is a share, 0.7 for 70 %.
//   - Range: purchased above 0; usable 0 or more. Soaked and boiled goods yield over 1.
//   - Errors: [ErrRange].
//   - Source: BC Cook Articulation Committee, Basic Kitchen and Food Service Management (BCcampus).
func Yield(usable, purchased quantity.Number) (quantity.Number, error) {
	if purchased.Sign() <= 0 || usable.Sign() < 0 {
		return quantity.Number{}, fmt.Errorf("%s of %s: %w", usable, purchased, ErrRange)
	}
	return usable.Div(purchased), nil
}

// TrimYield returns (purchased − trim) ÷ purchased.
//
//   - Units: both in one unit; the result is a share.
//   - Range: purchased above 0; trim 0 to purchased.
//   - Errors: [ErrRange].
//   - Source: as [Yield].
func TrimYield(purchased, trim quantity.Number) (quantity.Number, error) {
	if trim.Sign() < 0 {
		return quantity.Number{}, fmt.Errorf("trim of %s: %w", trim, ErrRange)
	}
	return Yield(purchased.Sub(trim), purchased)
}

// ToBuy returns how much to buy for a usable amount: usable ÷ yield.
//
//   - Units: that of usable; yield is a share.
//   - Range: usable 0 or more; yield above 0.
//   - Errors: [ErrRange].
//   - Source: culinary-mathematics textbooks, "as-purchased quantity".
func ToBuy(usable, yield quantity.Number) (quantity.Number, error) {
	if usable.Sign() < 0 {
		return quantity.Number{}, fmt.Errorf("%s usable: %w", usable, ErrRange)
	}
	if err := share("yield", yield, quantity.Number{}); err != nil {
		return quantity.Number{}, err
	}
	return usable.Div(yield), nil
}

// Usable returns what is left of a purchase: purchased × yield.
//
//   - Units: that of purchased; yield is a share.
//   - Range: purchased 0 or more; yield above 0.
//   - Errors: [ErrRange].
//   - Source: Bakery and Business Math (Open Washington Pressbooks), "Yield percents".
func Usable(purchased, yield quantity.Number) (quantity.Number, error) {
	if purchased.Sign() < 0 {
		return quantity.Number{}, fmt.Errorf("%s purchased: %w", purchased, ErrRange)
	}
	if err := share("yield", yield, quantity.Number{}); err != nil {
		return quantity.Number{}, err
	}
	return purchased.Mul(yield), nil
}

// UnitCost returns cost ÷ amount.
//
//   - Units: money a unit of the amount.
//   - Range: cost 0 or more; amount above 0.
//   - Errors: [ErrRange].
//   - Source: Gisslen W., Professional Cooking, chapter on food cost.
func UnitCost(cost, amount quantity.Number) (quantity.Number, error) {
	return Yield(cost, amount)
}

// EdibleCost returns what a usable unit costs: the purchase price of a unit ÷ yield.
//
//   - Units: that of price; yield is a share.
//   - Range: price 0 or more; yield above 0.
//   - Errors: [ErrRange].
//   - Source: Wall G., Trade Calculations (cook-training notes, 2007-2012).
func EdibleCost(price, yield quantity.Number) (quantity.Number, error) {
	return ToBuy(price, yield)
}

// FoodCost returns cost ÷ price, the share of a menu price that the food costs.
//
//   - Units: both in one currency; the result is a share, 0.358 for 35.8 %.
//   - Range: cost 0 or more; price above 0, without tax.
//   - Errors: [ErrRange].
//   - Source: Wall G., Trade Calculations (cook-training notes, 2007-2012).
func FoodCost(cost, price quantity.Number) (quantity.Number, error) {
	return Yield(cost, price)
}

// MenuPrice returns the price at which the food costs that share of it: cost ÷ share.
//
//   - Units: that of cost, without tax.
//   - Range: cost 0 or more; foodCost above 0, at most 1.
//   - Errors: [ErrRange].
//   - Source: Gisslen W., Professional Cooking, chapter on food cost.
func MenuPrice(cost, foodCost quantity.Number) (quantity.Number, error) {
	if err := share("food cost", foodCost, one); err != nil {
		return quantity.Number{}, err
	}
	return ToBuy(cost, foodCost)
}
