// Package larder knows what ingredients are made of, weigh and cost: the
// built-in data files and a house's larder.yaml flow in, one [Larder] with the
// origin of every value flows out.
//
// The built-in larder is four tables under data, written by go generate from the
// entries under internal/gen/spec and the published tables under testdata. Every
// value is worked out from a row that it names, or marked as common practice, as
// from memory, or as 0 by nature (no lactose in sugar); a test works each out
// again. What is not known has no value: a missing key is never 0.
//
//   - Composition: g per 100 g of what is used (peeled, shelled, drained). Ash
//     holds the salt. Salt is 2.5 × sodium, as on labels, but 0 for leavenings.
//   - Sugars of one item come from one table. "Under 0.5 g" and "traces" count as 0.
//   - Milk and cream of a stated fat are skimmed milk with that fat in it.
//   - Density: of liquids the density; of pieces and powders what a household
//     measure holds, with the air between them.
//   - Pours: water, milk, cream, drinks, juices, purees, wine, beer, spirits, stock;
//     not eggs, fats, honey, syrups, sauces, vinegars.
//   - Other carbohydrate: what the table's carbohydrate by difference leaves.
//   - Allergens: what the thing is made of as usually sold. Of what makers make
//     differently (stock, margarine, stabiliser) nothing is known.
package larder
