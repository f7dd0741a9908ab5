// Package distortion separates the harmonic orders of a device in the impulse
// response that an exponential sweep leaves: order N arrives L ln N early, where a
// window of its own picks it out (A. Farina, AES 108th Convention, 2000; A. Novak,
// P. Lotton, L. Simon, J. Audio Eng. Soc. 63(10), 2015).
//
// Levels of orders are in dB re the fundamental at the excitation frequency, unless a
// function says otherwise: it may refer them to the total, to the input, or show them
// at the harmonic's own frequency. NaN marks what is not known.
package distortion
