// Package distortion separates the harmonic orders of a device in the impulse
// response that an exponential sweep leaves: order N arrives L ln N early, where a
// window of its own picks it out (A. Farina, AES 108th Convention, 2000; A. Novak,
// P. Lotton, L. Simon, J. Audio Eng. Soc. 63(10), 2015).
package distortion
