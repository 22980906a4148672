// Package look lays replies out for the messaging platform: a bot's reply flows
// in, messages ready to be sent flow out (text, cards, buttons, menus, files, who
// may be mentioned), within the platform's limits; what a button, a menu or a form
// carries is signed here and read back. It knows no network and no clock.
package look
