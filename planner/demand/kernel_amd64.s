//go:build !purego

#include "textflag.h"

// func addFourAVX(o, y *float64, n int, a *[4]float64)
//
// o[k] += (a[0] y[k+3] + a[1] y[k+2]) + (a[2] y[k+1] + a[3] y[k]) for k < n, four k
// at a time; n is a multiple of 4. The sums are in the order of the Go code and
// nothing is fused, so the bits are the same.
TEXT ·addFourAVX(SB), NOSPLIT, $0-32
	MOVQ o+0(FP), DI
	MOVQ y+8(FP), SI
	MOVQ n+16(FP), CX
	MOVQ a+24(FP), DX
	VBROADCASTSD 0(DX), Y0
	VBROADCASTSD 8(DX), Y1
	VBROADCASTSD 16(DX), Y2
	VBROADCASTSD 24(DX), Y3
	SHRQ $2, CX
	JZ   done

loop:
	VMULPD 24(SI), Y0, Y4
	VMULPD 16(SI), Y1, Y5
	VMULPD 8(SI), Y2, Y6
	VMULPD 0(SI), Y3, Y7
	VADDPD Y5, Y4, Y4
	VADDPD Y7, Y6, Y6
	VADDPD Y6, Y4, Y4
	VADDPD 0(DI), Y4, Y4
	VMOVUPD Y4, 0(DI)
	ADDQ $32, SI
	ADDQ $32, DI
	DECQ CX
	JNZ  loop

done:
	VZEROUPPER
	RET
